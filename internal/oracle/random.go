package oracle

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

const degree = math.Pi / 180

func between(rng *rand.Rand, low, high float64) float64 {
	return low + (high-low)*rng.Float64()
}

func sign(rng *rand.Rand) float64 {
	if rng.IntN(2) == 0 {
		return -1
	}
	return 1
}

// Random returns a rig in space that fits together at its zero pose: kingpins
// with caster and inclination, servo shaft askew, left unlike right, tie rod
// ahead or behind. The figures are invented, of the size that scale vehicles have.
//
// How far it can turn either way is left to chance; it may be hardly at all.
func Random(rng *rand.Rand, layout Layout) Rig {
	for {
		r := Rig{Layout: layout}
		ahead := sign(rng)
		tieArm := between(rng, 12, 30)
		inward := between(rng, -5, 25) * degree
		r.Left = knuckle(rng, 1, ahead, tieArm, inward)
		r.Right = knuckle(rng, -1, ahead, tieArm, inward)
		r.TieLength = r3.Norm(r3.Sub(r.Left.Tie, r.Right.Tie))
		share := between(rng, 0.15, 0.85)
		r.TieBall = r3.Add(r.Left.Tie, r3.Scale(share, r3.Sub(r.Right.Tie, r.Left.Tie)))

		r.ServoPoint = r3.Vec{X: between(rng, -60, 60), Y: between(rng, -60, 60), Z: between(rng, 5, 60)}
		r.ServoAxis = askew(rng, []r3.Vec{{X: 1}, {X: -1}, {Z: 1}, {Z: -1}, {Y: 1}, {Y: -1}}[rng.IntN(6)], 30*degree)
		link := r3.Sub(r.Target(), r.ServoPoint)
		if r3.Norm(link) < 30 {
			continue
		}
		link = r3.Unit(link)
		square := r3.Cross(r.ServoAxis, link)
		if r3.Norm(square) < 0.5 {
			continue // the link would run along the servo's shaft
		}
		horn := r3.Scale(sign(rng)*between(rng, 12, 28), r3.Unit(square))
		horn = r3.NewRotation(between(rng, -35, 35)*degree, r.ServoAxis).Rotate(horn)
		reach := r3.Scale(between(rng, -5, 15), r.ServoAxis)
		r.Horn = r3.Add(r.ServoPoint, r3.Add(horn, reach))
		r.DragLength = r3.Norm(r3.Sub(r.Horn, r.Target()))
		if r.DragLength < 20 {
			continue
		}
		return r
	}
}

// askew returns the direction turned by up to the angle, any way.
func askew(rng *rand.Rand, direction r3.Vec, most float64) r3.Vec {
	by := r3.Unit(r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()})
	return r3.NewRotation(between(rng, 0, most), by).Rotate(direction)
}

// knuckle returns the knuckle of one side: 1 left, -1 right.
func knuckle(rng *rand.Rand, out, ahead, tieArm, inward float64) Knuckle {
	centre := r3.Vec{X: between(rng, -3, 3), Y: out * between(rng, 50, 110), Z: between(rng, -3, 3)}
	arm := func(length, direction, inward, height float64) r3.Vec {
		return r3.Add(centre, r3.Vec{
			X: direction * length * math.Cos(inward),
			Y: -out * length * math.Sin(inward),
			Z: height,
		})
	}
	return Knuckle{
		Out: out, Centre: centre,
		HalfHeight:  between(rng, 12, 25),
		Caster:      between(rng, -5, 12) * degree,
		Inclination: between(rng, -3, 14) * degree,
		Toe:         between(rng, -2, 2) * degree,
		Camber:      between(rng, -3, 3) * degree,
		Tie:         arm(tieArm*between(rng, 0.9, 1.1), ahead, inward+between(rng, -5, 5)*degree, between(rng, -10, 20)),
		Drag:        arm(between(rng, 12, 30), sign(rng), between(rng, -40, 40)*degree, between(rng, 0, 25)),
	}
}
