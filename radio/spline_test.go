package radio

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Common practice; the figures are 360° divided by the directions.
func TestSplineSteps(t *testing.T) {
	tests := []struct {
		name       string
		spline     Spline
		directions int
		step       float64
	}{
		{"23 teeth", Spline{23, 1}, 23, 15.652},
		{"24 teeth", Spline{24, 1}, 24, 15},
		{"25 teeth", Spline{25, 1}, 25, 14.4},
		{"25 teeth and four arms: subtrim covers at most 1.8°", Spline{25, 4}, 100, 3.6},
		{"odd count end for end: half a tooth", Spline{25, 2}, 50, 7.2},
		{"even count end for end: nothing gained", Spline{24, 2}, 24, 15},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := tt.spline.Directions(); got != tt.directions {
				t.Errorf("%d directions, want %d", got, tt.directions)
			}
			near(t, "step in degrees", degrees(tt.spline.Step()), tt.step, 0.0005)
		})
	}
}

func TestNearestSplinePosition(t *testing.T) {
	tests := []struct {
		name       string
		spline     Spline
		want, now  float64
		teeth, arm int
		leftOver   float64
	}{
		{"already there", Spline{25, 4}, 90, 90, 0, 0, 0},
		{"one tooth counter-clockwise", Spline{25, 1}, 14.4, 0, 1, 0, 0},
		{"one tooth clockwise with a remainder", Spline{25, 1}, -16, 0, -1, 0, -1.6},
		{"another arm, few teeth", Spline{25, 4}, 3.6, 0, -6, 1, 0},
		{"end for end for half a tooth", Spline{25, 2}, 7.2, 0, -12, 1, 0},
		{"on an even count a quarter turn is the next arm", Spline{24, 4}, 90, 0, 0, 1, 0},
		{"whole turns do not count", Spline{25, 1}, 360 + 14.4, 0, 1, 0, 0},
		{"half a tooth either way stays", Spline{24, 1}, 7.5, 0, 0, 0, 7.5},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, err := tt.spline.Nearest(rad(tt.want), rad(tt.now))
			if err != nil {
				t.Fatal(err)
			}
			if got.Teeth != tt.teeth || got.Arm != tt.arm {
				t.Errorf("got %d teeth, arm %d; want %d, arm %d", got.Teeth, got.Arm, tt.teeth, tt.arm)
			}
			near(t, "left over in degrees", degrees(got.LeftOver), tt.leftOver, 1e-9)
		})
	}
}

func TestNearestIsNearestOfAllPositions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Spline{rapid.IntRange(1, 30).Draw(t, "teeth"), rapid.IntRange(1, 6).Draw(t, "arms")}
		want, now := rapid.Float64Range(-7, 7).Draw(t, "want"), rapid.Float64Range(-7, 7).Draw(t, "now")
		got, err := s.Nearest(want, now)
		if err != nil {
			t.Fatal(err)
		}
		direction := now + 2*math.Pi*(float64(got.Teeth)/float64(s.Teeth)+float64(got.Arm)/float64(s.Arms))
		if gap := math.Remainder(want-direction-got.LeftOver, 2*math.Pi); math.Abs(gap) > 1e-9 {
			t.Fatalf("the position and what is left over miss by %g", gap)
		}
		if math.Abs(got.LeftOver) > s.Step()/2+1e-9 {
			t.Fatalf("%g left over, more than half a step", got.LeftOver)
		}
		for teeth := range s.Teeth {
			for arm := range s.Arms {
				d := now + 2*math.Pi*(float64(teeth)/float64(s.Teeth)+float64(arm)/float64(s.Arms))
				if math.Abs(math.Remainder(want-d, 2*math.Pi)) < math.Abs(got.LeftOver)-1e-9 {
					t.Fatalf("%d teeth with arm %d is nearer", teeth, arm)
				}
			}
		}
	})
}

func TestSplineThatCannotBe(t *testing.T) {
	for _, s := range []Spline{{0, 1}, {25, 0}, {-25, 4}} {
		var e *SplineError
		if _, err := s.Nearest(0, 0); !errors.As(err, &e) {
			t.Errorf("%+v: got %v", s, err)
		}
	}
	if _, err := (Spline{25, 4}).Nearest(math.NaN(), 0); err == nil {
		t.Error("a direction that is not a number passed")
	}
}
