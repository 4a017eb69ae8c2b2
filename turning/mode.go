package turning

// Mode is a way to steer the rear axle.
type Mode int

// The modes.
const (
	// Opposite steers the rear the other way than the front, for tight turns.
	Opposite Mode = iota
	// Same steers it the same way by less, for wide and calm ones.
	Same
	// Crab steers it by as much as the front, so that the vehicle goes to the side without turning.
	Crab
	// Held leaves the rear servo at neutral, or is a rear axle that does not steer.
	Held
	numModes
)

var modes = [numModes]struct{ key, words string }{
	Opposite: {"opposite", "opposite phase"},
	Same:     {"same", "same phase"},
	Crab:     {"crab", "crab"},
	Held:     {"held", "rear held straight"},
}

// Key returns the mode's name in files.
func (m Mode) Key() string { return modes[m].key }

// Words names the mode for people.
func (m Mode) Words() string { return modes[m].words }

// Modes lists the modes.
func Modes() []Mode { return []Mode{Opposite, Same, Crab, Held} }

// Options are those of Over.
type Options struct {
	// Opposite and Same say in those modes how many degrees the mean of the rear wheels is steered
	// for each degree of the mean of the front ones, as sizes.
	Opposite, Same float64
	// Steps is the number of steps from straight ahead to each lock.
	Steps int
}

// Usual returns the options that Over is mostly called with: as much as the front in opposite
// phase, half of it in the same.
func Usual() Options { return Options{Opposite: 1, Same: 0.5, Steps: 2} }

// Ratio returns by how much the rear is to follow the front in a mode; below zero the other way.
func (o Options) Ratio(m Mode) float64 {
	switch m {
	case Opposite:
		return -o.Opposite
	case Same:
		return o.Same
	case Crab:
		return 1
	default:
		return 0
	}
}
