package setup

import (
	"math"

	"evenlock/rig"

	"gonum.org/v1/gonum/spatial/r3"
)

// Rig returns the rig as it is once the plan is carried out: the horn where the plan puts it, the
// rods at their lengths, the transmitter's settings made. Measured uncertainties stay; the rods'
// new lengths, which are set until the wheels are straight, carry none.
func (p *Plan) Rig() *rig.Rig {
	r := p.Before.Rig.Clone()
	g := p.After.Geometry
	hole := r.Horn.Hole
	// Neutral is the zero of the horn's place, so that the subtrim's turn is not in it.
	setPoint(&r.Horn.Ball, g.HornBall)
	r.Horn.Points, r.Horn.Lean, r.Horn.LinkAngle, r.Horn.Reach = rig.Direction{}, rig.Angle{}, rig.Angle{}, rig.Length{}
	r.Horn.Hole = rig.Length{}
	if len(r.Horn.Holes) == 0 && hole.Given {
		r.Horn.Holes = []rig.Length{hole}
	}
	for _, rod := range p.Rods {
		length := rig.Length{Quantity: rig.Quantity{Value: roundTo(rod.Length.Value, 0.01), Given: true}}
		for _, s := range r.SteeringRods() {
			if s.Key == rod.Key {
				s.Length = length
			}
		}
	}
	if p.Calibrated {
		r.Settings = p.Settings
		if r.Settings.Reverse != p.Calibration.ReadReversed {
			swapSides(r.Transmitter.Readings)
		}
	}
	return r
}

// swapSides makes readings taken with the channel the one way round those of the other: what the
// servo did for a setting to the left it then does for the same to the right.
func swapSides(readings []rig.Reading) {
	for i := range readings {
		if s := readings[i].Setting; s != nil {
			*s = -*s
		}
	}
}

// setPoint writes a place to a hundredth of a millimetre, which no caliper betters.
func setPoint(to *rig.Point, v r3.Vec) {
	for i, x := range [3]float64{v.X, v.Y, v.Z} {
		to[i] = rig.Length{Quantity: rig.Quantity{Value: roundTo(x, 0.01), Uncertainty: to[i].Uncertainty, Given: true}}
	}
}

func roundTo(x, step float64) float64 { return math.Round(x/step) * step }
