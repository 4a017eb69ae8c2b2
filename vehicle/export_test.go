package vehicle

// Sketches returns the descriptions that the tests write by hand, by name.
func Sketches() map[string]*Vehicle {
	all := map[string]*Vehicle{}
	for name, sketch := range sketches {
		all[name] = sketch().Vehicle
	}
	return all
}
