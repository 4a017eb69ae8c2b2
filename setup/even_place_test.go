package setup_test

import (
	"math"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/setup"
	"evenlock/steer"
	"evenlock/vehicle"
)

// The place named must indeed steer more evenly: the horn is put there and the linkage judged by
// steer's own evenness, over ends of the same curvature found by Solved.
func TestThePlaceNamedAsEvenerIsEvener(t *testing.T) {
	named := 0
	for _, name := range rigtest.Names() {
		t.Run(name, func(t *testing.T) {
			r := rigtest.Starter(t, name)
			p, err := setup.Make(r, 1)
			if err != nil {
				t.Fatal(err)
			}
			if p.EvenPlace == nil {
				return
			}
			named++
			toe := r.Want.Toe.Value
			m, err := steer.Build(r, steer.Options{Adjustment: vehicle.Adjustment{
				HornTurn: p.Horn.Turn.Value - p.Horn.LeftOver + p.EvenPlace.Turn, Straighten: true, Toe: &toe,
			}})
			if err != nil {
				t.Fatal(err)
			}
			full := p.Ends[steer.Left].Curvature.Value
			left, err := m.Solved(steer.Curvature, full, 0, 1.2*p.Ends[steer.Left].Servo.Value)
			if err != nil {
				t.Fatal(err)
			}
			right, err := m.Solved(steer.Curvature, -full, 0, 1.2*p.Ends[steer.Right].Servo.Value)
			if err != nil {
				t.Fatal(err)
			}
			even, err := m.Evenness(func(x float64) (float64, float64) {
				end := left.Value
				if x < 0 {
					end = right.Value
				}
				return math.Abs(x) * end, math.Abs(end)
			})
			if err != nil {
				t.Fatal(err)
			}
			if even.Path > 0.75*p.EvenAfter.Path {
				t.Errorf("%.1f %% left there, %.1f %% at the square place", 100*even.Path, 100*p.EvenAfter.Path)
			}
			if math.Abs(even.Path-p.EvenPlace.Path) > 0.1*p.EvenAfter.Path {
				t.Errorf("%.2f %% left there, the plan says %.2f %%", 100*even.Path, 100*p.EvenPlace.Path)
			}
		})
	}
	if named == 0 {
		t.Error("no starter has a place evener than square, so that nothing was tested")
	}
}
