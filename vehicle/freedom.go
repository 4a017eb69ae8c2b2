package vehicle

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"

	"evenlock/linkage"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"
)

// Freedom returns how many degrees of freedom are left when the servos and the suspension stand
// still: counted as the coordinates that nothing drives less the rods (Grübler and Kutzbach), and
// ranked as those coordinates less the rank of the rods' Jacobian in the pose that the linkage is
// built in. Each rod that does the work of others makes the count one lower than the rank. It fails
// where the lists do not hang together, with the first *Error of Check.
func (v *Vehicle) Freedom() (counted, ranked int, err error) {
	if errs := v.checkLists(); len(errs) > 0 {
		return 0, 0, errs[0]
	}
	j, bad := v.jig()
	if bad != nil {
		return 0, 0, bad
	}
	return len(j.open) - len(j.rods), len(nullSpace(j.jacobian(j.home), len(j.open))), nil
}

// jig holds a vehicle's bodies and balls with the rods off and every coordinate driven. The kernel
// refuses what is too free or too stiff; of this it gives places and velocities all the same, and
// its handles are no part's.
type jig struct {
	*linkage.Linkage
	writer *writer
	held   map[*Body]bool // by a servo
	rods   []*Rod
	home   []float64    // all coordinates in the pose that the linkage is built in
	slides []bool       // which of them are slides
	open   []coordinate // those of them that nothing drives
}

// coordinate is one way in which a body can move, as a number of jig.home.
type coordinate struct {
	body  *Body
	verb  string
	input int
}

func (v *Vehicle) jig() (*jig, *Error) {
	j := &jig{writer: newWriter(), held: map[*Body]bool{}, rods: v.Rods}
	for _, s := range v.Servos {
		j.held[s.Horn] = true
	}
	for _, b := range v.Bodies {
		turns := "turn about its axis"
		if v.WheelOn(b) != nil {
			turns = "turn about its kingpin"
		} else if b.Moves == Between {
			turns = "roll about its ends"
		}
		j.drive(b, turns)
	}
	for _, b := range v.Balls {
		j.writer.ball(b)
	}
	l, err := j.writer.Build()
	if err != nil {
		return nil, &Error{Problem: "the parts cannot be laid out", Remedy: "check their places and axes", Cause: err}
	}
	j.Linkage, j.home = l, l.NewPose().Inputs()
	return j, nil
}

// drive drives all coordinates of a body. What it can do as it turns is said by turns.
func (j *jig) drive(b *Body, turns string) {
	h, driven := j.writer.body(b), b.Drive != ByRods || j.held[b]
	switch b.Moves {
	case Fixed:
	case Turns, Between:
		j.coordinate(b, h, turns, false, driven)
	case Slides:
		j.coordinate(b, h, "slide", true, driven)
	case Free:
		f := j.writer.free[b]
		j.coordinate(b, f.X, "move forward", true, false)
		j.coordinate(b, f.Y, "move sideways", true, false)
		j.coordinate(b, f.Z, "rise", true, b.Drive == ByTravel)
		j.coordinate(b, f.Yaw, "yaw", false, false)
		j.coordinate(b, f.Pitch, "pitch", false, false)
		j.coordinate(b, h, "roll", false, driven)
	}
}

func (j *jig) coordinate(b *Body, h linkage.Body, verb string, slides, driven bool) {
	j.writer.Drive(h)
	if !driven {
		j.open = append(j.open, coordinate{b, verb, len(j.slides)})
	}
	j.slides = append(j.slides, slides)
}

// jacobian returns for each rod how fast its balls part as each open coordinate grows, in mm per
// mm: a coordinate counts by how far it moves the ball that it moves the most.
func (j *jig) jacobian(at []float64) [][]float64 {
	p, m := j.NewPose(), j.NewMotion()
	rows := make([][]float64, len(j.rods))
	for i := range rows {
		rows[i] = make([]float64, len(j.open))
	}
	_ = j.Solve(p, at) // All is driven: there is nothing that could not close.
	for k, c := range j.open {
		rates := make([]float64, len(at))
		rates[c.input] = 1
		j.Tangent(p, rates, nil, m)
		most := 0.0
		for _, b := range j.writer.balls {
			most = max(most, r3.Norm(j.BallRate(p, m, b)))
		}
		for i, r := range j.rods {
			a, b := j.writer.balls[r.From], j.writer.balls[r.To]
			rate := r3.Dot(r3.Unit(r3.Sub(p.Ball(a), p.Ball(b))), r3.Sub(j.BallRate(p, m, a), j.BallRate(p, m, b))) / most
			// A rod between balls that meet has no line, and holds nothing; nor does it what moves no ball.
			if !math.IsNaN(rate) {
				rows[i][k] = rate
			}
		}
	}
	return rows
}

// elsewhere returns a pose near home, in which nothing is in line by chance.
func (j *jig) elsewhere() []float64 {
	size := 0.0
	for _, r := range j.rods {
		size = max(size, r.Length)
	}
	at, rng := slices.Clone(j.home), rand.New(rand.NewPCG(1, 2))
	for i := range at {
		by := 0.05 + 0.1*rng.Float64()
		if j.slides[i] {
			by *= size
		}
		at[i] += by
	}
	return at
}

// insignificant is the greatest singular value of a Jacobian that counts as none. Its numbers are of
// the order of 1. Rounding leaves some 1e-15 where the rank is lost, and places known to 0.01 mm
// seldom less than 1e-5 where it is not. The kernel takes the same of a dead point's leverage.
const insignificant = 1e-9

// nullSpace returns a basis of the x of n numbers at which every row's product with x is zero. Each
// of the basis has a coordinate of its own, in which the others are zero: so what is loose in two
// places is told apart.
func nullSpace(rows [][]float64, n int) [][]float64 {
	if n == 0 {
		return nil
	}
	// Rows of zeros below, which say nothing, make the thin decomposition a whole one.
	a := mat.NewDense(max(n, len(rows)), n, nil)
	for i, r := range rows {
		a.SetRow(i, r)
	}
	var svd mat.SVD
	if !svd.Factorize(a, mat.SVDThin) {
		return nil
	}
	var v mat.Dense
	svd.VTo(&v)
	var basis [][]float64
	for i, s := range svd.Values(nil) {
		if s < insignificant {
			basis = append(basis, mat.Col(nil, i, &v))
		}
	}
	for i := range basis {
		row, own := i, 0
		for r := i; r < len(basis); r++ {
			for k, x := range basis[r] {
				if math.Abs(x) > math.Abs(basis[row][own]) {
					row, own = r, k
				}
			}
		}
		basis[i], basis[row] = basis[row], basis[i]
		floats.Scale(1/basis[i][own], basis[i])
		for r, x := range basis {
			if r != i {
				floats.AddScaled(x, -x[own], basis[i])
			}
		}
	}
	return basis
}

// transposed returns the columns of rows of n numbers.
func transposed(rows [][]float64, n int) [][]float64 {
	columns := make([][]float64, n)
	for k := range columns {
		for _, r := range rows {
			columns[k] = append(columns[k], r[k])
		}
	}
	return columns
}

// checkFreedom says what the rods leave loose, and which of them fight one another.
//
// What is so at home and elsewhere too comes of what is joined to what. What is so only at home
// comes of the places: a dead point, or links that are parallel.
func (v *Vehicle) checkFreedom() []*Error {
	j, err := v.jig()
	if err != nil {
		return []*Error{err}
	}
	n, m := len(j.open), len(j.rods)
	rows, away := j.jacobian(j.home), j.jacobian(j.elsewhere())
	loose, always := nullSpace(rows, n), nullSpace(away, n)
	byPlace := n == m && len(always) == 0
	if !byPlace && len(loose) != len(always) {
		rows, loose = away, always
	}
	fights := nullSpace(transposed(rows, n), m)
	var errs []*Error
	if byPlace {
		for _, x := range loose {
			errs = append(errs, j.noLeverage(x, fights, away))
		}
		return errs
	}
	for _, x := range fights {
		errs = append(errs, j.fight(x, rows))
	}
	return append(errs, j.nothingHolds(loose)...)
}

// moving returns the coordinates that move at least half as far as that which moves the most.
func (j *jig) moving(x []float64) []coordinate {
	most := floats.Norm(x, math.Inf(1))
	var all []coordinate
	for k, c := range j.open {
		if math.Abs(x[k]) >= most/2 {
			all = append(all, c)
		}
	}
	return all
}

// canStill says how the bodies of coordinates can still move, and what to call them then.
func canStill(all []coordinate) (words, them string) {
	first := all[0].body
	var verbs, others []string
	for _, c := range all {
		if c.body == first {
			verbs = append(verbs, c.verb)
		} else if name := c.body.the(); !slices.Contains(others, name) {
			others = append(others, name)
		}
	}
	words = first.the() + " can still " + and(verbs)
	if len(others) == 0 {
		return words, "it"
	}
	return words + ", and " + and(others) + " with it", "them"
}

// nothingHolds says what is loose, whatever moves one part first in one error.
func (j *jig) nothingHolds(loose [][]float64) []*Error {
	type motion struct {
		x     []float64
		count int
	}
	var all []*motion
	for _, x := range loose {
		body := j.moving(x)[0].body
		i := slices.IndexFunc(all, func(m *motion) bool { return j.moving(m.x)[0].body == body })
		if i < 0 {
			all = append(all, &motion{x, 1})
			continue
		}
		all[i].count++
		for k := range x {
			all[i].x[k] = max(math.Abs(all[i].x[k]), math.Abs(x[k]))
		}
	}
	errs := make([]*Error, len(all))
	for i, m := range all {
		moving := j.moving(m.x)
		words, them := canStill(moving)
		remedy := "add a rod that holds " + them
		switch {
		case m.count > 1:
			remedy = fmt.Sprintf("add %d rods that hold %s", m.count, them)
		case moving[0].body.Moves != Free:
			remedy += ", or a servo that moves " + them
		}
		errs[i] = at(&moving[0].body.Part, words+": nothing holds "+them, remedy)
	}
	return errs
}

// noLeverage says that the pose leaves loose what rods could hold. Of those that then do nothing, or
// the same work, it names the ones that would stop the motion x elsewhere.
func (j *jig) noLeverage(x []float64, fights, away [][]float64) *Error {
	var culprits []*Rod
	most := -1.0
	for _, y := range fights {
		stops := 0.0
		for i, r := range away {
			stops += y[i] * floats.Dot(r, x)
		}
		if math.Abs(stops) > most {
			most, culprits = math.Abs(stops), j.taking(y)
		}
	}
	moving := j.moving(x)
	slices.SortStableFunc(moving, func(a, b coordinate) int { return touching(culprits, b.body) - touching(culprits, a.body) })
	words, them := canStill(moving)
	rods := and(names(culprits))
	if len(culprits) > 1 {
		return at(&culprits[0].Part, words+": with the wheels straight "+rods+" do the same work",
			"check the places of their balls; parallel links need a panhard rod, or two of them splayed")
	}
	remedy := "check the places of its balls: the rod must not point at the axis that it turns"
	if moving[0].body.Moves == Slides {
		remedy = "check the places of its balls: the rod must not be square to the slide"
	}
	return at(&culprits[0].Part, words+": with the wheels straight "+rods+" has no leverage on "+them, remedy)
}

// touching counts the ends that rods have on a body.
func touching(rods []*Rod, b *Body) int {
	n := 0
	for _, r := range rods {
		for _, end := range []*Ball{r.From, r.To} {
			if end.On == b {
				n++
			}
		}
	}
	return n
}

// taking returns the rods with a share in forces that hold one another.
func (j *jig) taking(y []float64) []*Rod {
	var all []*Rod
	for i, r := range j.rods {
		if math.Abs(y[i]) > 1e-6 { // of 1, the share of the rod that it is written by
			all = append(all, r)
		}
	}
	return all
}

// fight says which rods hold one another, so that one of them is too many.
func (j *jig) fight(y []float64, rows [][]float64) *Error {
	rods := j.taking(y)
	var held []*Body
	for k, c := range j.open {
		for i, r := range j.rods {
			if slices.Contains(rods, r) && math.Abs(rows[i][k]) > insignificant && !slices.Contains(held, c.body) {
				held = append(held, c.body)
			}
		}
	}
	const remedy = "check the places of their balls, or leave one of them out"
	who := and(names(rods))
	switch len(rods) {
	case 1:
		return at(&rods[0].Part, who+" holds nothing: its balls stay as far apart whatever else moves",
			"leave it out, or move one of its balls to what it is to hold")
	case 2:
		return at(&rods[0].Part, who+" fight: each alone would hold "+and(names(held)), remedy)
	default:
		return at(&rods[0].Part, who+" fight: one of them is too many to hold "+and(names(held)), remedy)
	}
}

// names returns what to call parts.
func names[P interface{ Listed() *Part }](all []P) []string {
	words := make([]string, len(all))
	for i, p := range all {
		words[i] = p.Listed().the()
	}
	return words
}

// and joins words as one says them.
func and(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}
