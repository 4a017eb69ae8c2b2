package load

import (
	"math"
)

// Material of a rod.
type Material struct {
	Name string
	// Elastic modulus and Yield stress (of carbon, strength in compression) in N/mm².
	Elastic, Yield float64
}

// Materials lists common rod materials with round figures from memory, as a start where
// nothing better is known: strength differs by alloy and treatment, carbon's by make and direction,
// nylon's falls with water and warmth. Use the maker's figures where there are any.
func Materials() []Material {
	return []Material{
		{"steel", 200e3, 250},
		{"stainless", 193e3, 210},
		{"titanium", 114e3, 830},
		{"aluminium", 70e3, 270},
		{"brass", 100e3, 200},
		{"carbon", 120e3, 600},
		{"nylon", 2.5e3, 50},
	}
}

// MaterialNamed returns a material of Materials.
func MaterialNamed(name string) (m Material, ok bool) {
	for _, m := range Materials() {
		if m.Name == name {
			return m, true
		}
	}
	return Material{}, false
}

// ThreadRoot returns the root diameter of an ISO metric external thread in mm, d3 = d - 1.226869 P,
// from its nominal diameter and pitch. Source: ISO 68-1 and ISO 724, from memory.
func ThreadRoot(diameter, pitch float64) float64 { return diameter - 1.226869*pitch }

// Section is the cross-section of a round rod.
type Section struct {
	// Outer diameter in mm, and that of the bore, zero if solid.
	Outer, Bore float64
}

// Area in mm².
func (s Section) Area() float64 { return math.Pi / 4 * (s.Outer*s.Outer - s.Bore*s.Bore) }

// SecondMoment of area about a diameter in mm⁴, π/64 (D⁴ - d⁴).
func (s Section) SecondMoment() float64 {
	return math.Pi / 64 * (math.Pow(s.Outer, 4) - math.Pow(s.Bore, 4))
}

// Euler returns the force in N under which a straight slender column with hinged
// ends buckles, π² E I/ℓ²: modulus in N/mm², second moment of area in mm⁴, length in mm.
// Source: Euler's column; Timoshenko, Theory of Elastic Stability, from memory.
func Euler(elastic, secondMoment, length float64) float64 {
	return math.Pi * math.Pi * elastic * secondMoment / (length * length)
}

// Buckling returns the compression in N that a straight rod with ball ends bears: Euler's for a
// slender one, and Johnson's parabola A Y (1 - Y ℓ² A/(4 π² E I)), which meets it at half the yield
// stress Y, for a stocky one. Source: Shigley, Mechanical Engineering Design, chapter on columns,
// from memory.
func Buckling(m Material, s Section, length float64) float64 {
	crush := m.Yield * s.Area()
	euler := Euler(m.Elastic, s.SecondMoment(), length)
	if euler < crush/2 {
		return euler
	}
	return crush * (1 - crush/(4*euler))
}

// Rod is a rod with ball ends.
type Rod struct {
	// Length in mm, ball centre to ball centre.
	Length float64
	// Body is its section; Root the root diameter in mm of the thread at its ends, zero if none.
	Body Section
	Root float64
	// Offset in mm of a bent rod: how far its middle is from the line between the balls.
	Offset   float64
	Material Material
}

// RodStrength is what a force does to a rod.
type RodStrength struct {
	// Axial stress in N/mm² where the rod is thinnest, positive in tension.
	Axial float64
	// Bending stress in N/mm² at the edge of the middle, zero or more; infinite beyond buckling.
	Bending float64
	// Buckling is the compression in N that buckles the rod, were it straight. It takes the thinner
	// of body and thread root for the whole length, which is on the safe side.
	Buckling float64
	// SafetyFactor is how many times the force is to be had before the rod buckles or yields, the
	// lesser. A bent rod's is found with its bending growing as the force does. Infinite without
	// force.
	SafetyFactor float64
	// Buckles tells that buckling, or the bending that it brings, comes before plain yield.
	Buckles bool
}

// sections returns those that a rod has.
func (r Rod) sections() []Section {
	if r.Root > 0 {
		return []Section{r.Body, {Outer: r.Root}}
	}
	return []Section{r.Body}
}

// Bending returns the bending stress in N/mm² of the middle of a bent rod under a force in N,
// positive in tension. The moment is F e; in compression the rod's own give makes it grow, by the
// secant formula F e sec(ℓ/2 √(F/(E I))), and it is infinite from Euler's load on (Timoshenko;
// Shigley, eccentrically loaded columns; from memory). In tension it shrinks, which is left out.
//
// The secant formula has the force beside the whole rod by e, which for a rod bent only in places
// asks somewhat too much. The formula of Perry for a rod bent like a bow, F e/(1 - F/F_Euler), lies
// close below it.
func (r Rod) Bending(tension float64) float64 {
	if r.Offset == 0 || tension == 0 {
		return 0
	}
	i := r.Body.SecondMoment()
	stress := math.Abs(tension*r.Offset) * r.Body.Outer / 2 / i
	if tension > 0 {
		return stress
	}
	if -tension >= Euler(r.Material.Elastic, i, r.Length) {
		return math.Inf(1)
	}
	return stress / math.Cos(r.Length/2*math.Sqrt(-tension/(r.Material.Elastic*i)))
}

// Bears returns what a tension in N, negative for compression, does to the rod.
func (r Rod) Bears(tension float64) RodStrength {
	out := RodStrength{Bending: r.Bending(tension), Buckling: math.Inf(1), SafetyFactor: math.Inf(1)}
	thinnest := math.Inf(1)
	for _, s := range r.sections() {
		thinnest = min(thinnest, s.Area())
		out.Buckling = min(out.Buckling, Buckling(r.Material, s, r.Length))
	}
	out.Axial = tension / thinnest
	if tension == 0 {
		return out
	}
	yield := r.Material.Yield * thinnest / math.Abs(tension)
	out.SafetyFactor = yield
	if tension < 0 {
		out.SafetyFactor = min(yield, -out.Buckling/tension)
	}
	if r.Offset != 0 {
		out.SafetyFactor = min(out.SafetyFactor, r.bentSafetyFactor(tension, out.SafetyFactor))
	}
	out.Buckles = tension < 0 && out.SafetyFactor < yield
	return out
}

// bentSafetyFactor returns the multiple, up to most, of a tension at which axial and bending stress
// together come to yield in the body of a bent rod. Stress grows with force, so that halving finds
// it.
func (r Rod) bentSafetyFactor(tension, most float64) float64 {
	over := func(k float64) bool {
		return k*math.Abs(tension)/r.Body.Area()+r.Bending(k*tension) > r.Material.Yield
	}
	low, high := 0.0, most
	if !over(high) {
		return high
	}
	for range 60 {
		mid := (low + high) / 2
		if over(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return low
}
