package engine

import (
	"testing"

	"evenlock/rig"
)

func TestSetUpIsReadyBeforeTheSuspensionIsMeasured(t *testing.T) {
	for _, name := range []string{"chassis", "centre-crank", "rack"} {
		s, err := Start(name)
		if err != nil {
			t.Fatal(err)
		}
		asked := map[string]bool{}
		for i := 0; ; i++ {
			m, err := s.Measurements()
			if err != nil {
				t.Fatal(err)
			}
			if m.Missing == 0 {
				if m.LaterMissing == 0 || m.Next == "" || !s.moved.later(m.Next) {
					t.Errorf("%s: afterwards %d missing, next %q", name, m.LaterMissing, m.Next)
				}
				break
			}
			if s.moved.later(m.Next) || asked[m.Next] {
				t.Fatalf("%s: asked for %s with %d missing", name, m.Next, m.Missing)
			}
			asked[m.Next] = true
			for _, one := range m.List {
				if one.Key == m.Next {
					if err := s.Set(one.Key, short(one.Figure.Value/perUnit(one.Kind), 3)); err != nil {
						t.Fatal(err)
					}
				}
			}
		}
		st := s.State()
		if st.Draft || st.Missing != 0 || st.Later == 0 {
			t.Errorf("%s: %d missing, %d later, draft %v", name, st.Missing, st.Later, st.Draft)
		}
		if _, err := s.SetUp(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestATravelBeyondTheStatedOneEndsThere(t *testing.T) {
	s := truck(t)
	s.SetWheelTravel(500, -500)
	bump, droop := s.moved.model.TravelRange()
	if r := s.moved.state.WheelTravel(); r.Left > bump || r.Right < -droop {
		t.Errorf("the drawing stands at %+v, the file states %v up and %v down", r, bump, droop)
	}
}

// perUnit is what a degree or a millimetre is inside.
func perUnit(kind string) float64 {
	if kind == rig.AngleKind.String() {
		return degree
	}
	return 1
}
