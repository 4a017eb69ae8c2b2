package shape_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os/exec"
	"testing"

	"evenlock/internal/need"
)

// ask gives the pairs to SciPy, and returns the bounds of each gap.
func ask(t *testing.T, pairs [][2]*described) [][2]float64 {
	t.Helper()
	input, err := json.Marshal(pairs)
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.CommandContext(t.Context(), need.Python(t, "numpy", "scipy"), "testdata/nearest.py")
	var problems bytes.Buffer
	cmd.Stdin, cmd.Stderr = bytes.NewReader(input), &problems
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, problems.Bytes())
	}
	all := make([][2]float64, 0, len(pairs))
	for read := json.NewDecoder(bytes.NewReader(out)); read.More(); {
		var bounds [2]float64
		if err := read.Decode(&bounds); err != nil {
			t.Fatal(err)
		}
		all = append(all, bounds)
	}
	if len(all) != len(pairs) {
		t.Fatalf("%d answers to %d pairs", len(all), len(pairs))
	}
	return all
}

// Distances: bounded linear least squares where there is no rim, which is exact, and sequential
// quadratic programming where there is one.
func TestDistancesThatScipyFinds(t *testing.T) {
	rng := rand.New(rand.NewPCG(30, 1))
	var pairs [][2]*described
	var names []string
	for ka := range kinds {
		for kb := range ka + 1 {
			for i := range 60 {
				// From 10 mm apart down to a hundredth of a millimetre.
				a, b := pair(rng, ka, kb, 10*math.Pow(10, -3*float64(i)/59))
				pairs, names = append(pairs, [2]*described{a, b}), append(names, kindNames[ka]+" and "+kindNames[kb])
			}
		}
	}
	worst := map[string]float64{}
	for i, want := range ask(t, pairs) {
		a, b := pairs[i][0].shape(), pairs[i][1].shape()
		got := gap(a, b)
		if math.Abs(got-want[0]) > 1e-10 {
			t.Errorf("pair %d, %s: the gap is %.12f, scipy's %.12f", i, names[i], got, want[0])
		}
		worst[names[i]] = max(worst[names[i]], math.Abs(got-want[0]))
	}
	t.Log("farthest from scipy's:", worst)
}

// Depths: the nearest face of the convex hull of all differences of corners (Qhull). Rims are
// polygons inside and around the circle, between which the depth must be.
func TestDepthsThatAHullGives(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 2))
	var pairs [][2]*described
	var names []string
	for ka := aBox; ka < kinds; ka++ {
		for kb := range ka + 1 {
			for i := range 24 {
				// From just overlapping to anywhere within each other.
				a, b := pair(rng, ka, kb, -0.01*math.Pow(10, 3.5*float64(i)/23))
				pairs, names = append(pairs, [2]*described{a, b}), append(names, kindNames[ka]+" and "+kindNames[kb])
			}
		}
	}
	worst := map[string]float64{}
	for i, want := range ask(t, pairs) {
		a, b := pairs[i][0].shape(), pairs[i][1].shape()
		got := gap(a, b)
		if got < want[0]-1e-10 || got > want[1]+1e-10 {
			t.Errorf("pair %d, %s: the gap is %.12f, and the hull puts it between %.12f and %.12f", i, names[i], got, want[0], want[1])
		}
		worst[names[i]] = max(worst[names[i]], want[1]-want[0])
	}
	t.Log("the hull leaves room of", worst)
}
