package report_test

import (
	"math"
	"strings"
	"testing"

	"evenlock/internal/rigtest"
	"evenlock/report"
	"evenlock/report/document"
	"evenlock/rig"
	"evenlock/setup"
	"evenlock/steer"
)

// axlesOf are the documents of a rig that steers at both ends: check, of both axles; limits, sweep,
// headlines, curves and set-up of each; and the list of all parts.
func axlesOf(t *testing.T, r *rig.Rig) []*document.Document {
	t.Helper()
	add := func(d *document.Document, err error) *document.Document {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	var models []*steer.Model
	for axle := range 2 {
		m, err := steer.Build(r, steer.Options{Axle: axle + 1})
		if err != nil {
			t.Fatal(err)
		}
		models = append(models, m)
	}
	all := []*document.Document{add(report.Check(nil, models...))}
	for axle, m := range models {
		all = append(all, add(report.Limits(m)), add(report.Sweep(m, lockToLock(t, m, 3))))
		h := judged(t, m)
		over, err := setup.OverStick(m, &h.Stick, 11)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, add(report.Headlines(h), nil), add(report.Curves(&h.AtFullStick, over), nil))
		switch p, err := setup.Make(r, axle+1); {
		case err == nil:
			all = append(all, report.SetUp(p))
		case !strings.Contains(err.Error(), "leaves no lock"): // as some of the odd rigs' margins do
			t.Fatal(err)
		}
	}
	return append(all, add(report.List(r, nil)))
}

// Both axles steer as parallelograms, to stops at 30°. Front to back in a mirror the one is the
// other, pointing to the other side, so that both turn on one circle. The inner wheel's axis meets
// the line of the other axle at 300·cot 30°; there the outer one's would, if it were at
// atan 1/(cot 30° + 200/300), and it is at 30° too.
func TestAxlesHaveTheirOwnDocuments(t *testing.T) {
	all := axlesOf(t, parallel(t))
	figure := func(d *document.Document, key string) float64 {
		t.Helper()
		f, ok := d.Find(key)
		if !ok {
			t.Fatalf("%s of the %s axle has no %s", d.Kind, d.Axle, key)
		}
		return f.Value
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if !(math.Abs(got-want) <= 1e-9*math.Abs(want)) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	const lock = math.Pi / 6
	for _, key := range []string{"lock.left", "lock.right", "rear.lock.left", "rear.lock.right"} {
		near("check, "+key, figure(all[0], key), lock)
	}
	past := lock - math.Atan(1/(1/math.Tan(lock)+200./300))
	for i, axle := range []string{"front", "rear"} {
		limits, sweep, headlines := all[1+5*i], all[2+5*i], all[3+5*i]
		if limits.Axle != axle || sweep.Axle != axle {
			t.Errorf("the %s axle's say %q and %q", axle, limits.Axle, sweep.Axle)
		}
		for _, side := range []string{"left", "right"} {
			near(axle+" limits, "+side, figure(limits, "lock."+side), lock)
			near(axle+" sweep, "+side, figure(sweep, "end."+side), lock)
			near(axle+" headlines, "+side, figure(headlines, "lock."+side), lock)
			near(axle+" circle, "+side, figure(sweep, "circle."+side), figure(all[2], "circle.left"))
		}
		near(axle+" past Ackermann", figure(sweep, "ackermann"), past)
	}
	if all[0].Axle != "" {
		t.Errorf("check is about the %s axle alone", all[0].Axle)
	}
}

// The knuckle that stands at its own inward stop is turned as far as that, at the rear too, where the
// inner wheel is the other one.
func TestTheInnerKnuckleAtTheFirstStopIsTheInnerOne(t *testing.T) {
	text := rigtest.ExampleText(t, "four-wheel")
	r, found := rigtest.Read(t, text), 0
	for axle := 1; axle <= 2; axle++ {
		p, err := setup.Make(r, axle)
		if err != nil {
			t.Fatal(err)
		}
		for side := range p.Ends {
			first := &p.Ends[side].Stops[0]
			if !strings.HasSuffix(first.Words, "inward stop") {
				continue
			}
			found++
			limit := r.Of(axle).Left.Stops.In.Value
			if got := math.Abs(first.Turns[p.After.Inner(steer.Side(side))]); math.Abs(got-limit) > 1e-9 {
				t.Errorf("axle %d: the inner knuckle is at %v, and its stop at %v", axle, got, limit)
			}
			key := "stop." + steer.Side(side).String()
			if f := figureOf(t, report.SetUp(p), key); math.Abs(f-limit) > 1e-9 {
				t.Errorf("axle %d: %s is %v, and the stop is at %v", axle, key, f, limit)
			}
		}
	}
	if found == 0 {
		t.Error("no lock ends at an inward stop first")
	}
}

// A rig that goes over-centre as soon as it moves is not in order: its tie arms point nearly along the
// tie rod.
func TestARigThatHardlySteersIsNotInOrder(t *testing.T) {
	m, err := steer.New(rigtest.Starter(t, "chassis", "left.tie_arm.inward=88"))
	if err != nil {
		t.Fatal(err)
	}
	d, err := report.Check(nil, m)
	if err != nil {
		t.Fatal(err)
	}
	said := d.Verdict[0].Sentence.Text(document.Reader{})
	if d.Verdict[0].Severity != document.MustFix || !strings.Contains(said, "going over-centre") {
		t.Errorf("the check begins with %q", said)
	}
	for _, l := range d.Verdict {
		if strings.Contains(l.Sentence.Text(document.Reader{}), "In order") {
			t.Errorf("the check says %q", l.Sentence.Text(document.Reader{}))
		}
	}
}
