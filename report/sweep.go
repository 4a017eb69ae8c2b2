package report

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"evenlock/steer"
)

// unitOf gives the unit that files use for a quantity, its name, and what to multiply by.
func unitOf(u steer.Unit) (name string, times float64) {
	switch u {
	case steer.Radian:
		return "deg", 1 / degree
	case steer.PerMillimetre:
		return "1/m", 1000
	case steer.Millimetre:
		return "mm", 1
	default:
		return "1", 1
	}
}

// typicalDigits returns the decimals that a column is worth, by the uncertainty in its middle.
func typicalDigits(samples []steer.Sample, most int, uncertain func(r *steer.Sample) float64) int {
	all := make([]float64, len(samples))
	for i := range samples {
		all[i] = uncertain(&samples[i])
	}
	slices.Sort(all)
	return digits(all[len(all)/2], most)
}

// diameterUncertain is the uncertainty of a path's diameter in metres.
func diameterUncertain(r *steer.Sample) float64 {
	k := r.Values[steer.Curvature]
	return diameter(k) * r.Uncertain[steer.Curvature] / math.Abs(k)
}

// diameter returns that of the circle of a path curvature, in metres.
func diameter(curvature float64) float64 { return 2 / math.Abs(curvature) / 1000 }

// diameterWord writes a diameter in metres, and a dash for one so wide that it is as good as straight.
func diameterWord(curvature float64, decimals int) string {
	if d := diameter(curvature); d < 100 {
		return number(d, decimals)
	}
	return "–"
}

// Sweep writes a table of at most 80 columns.
func Sweep(w io.Writer, m *steer.Model, samples []steer.Sample) error {
	var t printer
	t.title("SWEEP of ", m.Rig.Name)
	t.line("")
	column := func(q steer.Quantity, most int) int {
		return typicalDigits(samples, most, func(r *steer.Sample) float64 { return r.Uncertain[q] / degree })
	}
	wheel := max(column(steer.RoadLeft, 2), column(steer.RoadRight, 2))
	rate := max(
		typicalDigits(samples, 3, func(r *steer.Sample) float64 { return r.RatesUncertain[steer.RoadLeft] }),
		typicalDigits(samples, 3, func(r *steer.Sample) float64 { return r.RatesUncertain[steer.RoadRight] }))
	horn, far, excess := column(steer.HornAngle, 1), column(steer.FarAngle, 1), column(steer.Ackermann, 2)
	circle := typicalDigits(samples, 2, diameterUncertain)
	t.line("%10s %9s %9s %7s %7s %6s %6s %8s %8s", "servo", "left", "right", "left", "right", "horn", "far", "circle", "outer")
	t.line("%10s %9s %9s %7s %7s %6s %6s %8s %8s", "", "wheel", "wheel", "rate", "rate", "angle", "angle", "m", "excess")
	for _, r := range samples {
		v := r.Values
		t.line("%10s %9s %9s %7s %7s %6s %6s %8s %8s",
			turnWord(r.Servo), sideShort(v[steer.RoadLeft], wheel), sideShort(v[steer.RoadRight], wheel),
			number(r.Rates[steer.RoadLeft], rate), number(r.Rates[steer.RoadRight], rate),
			number(v[steer.HornAngle]/degree, horn), number(v[steer.FarAngle]/degree, far),
			diameterWord(v[steer.Curvature], circle), number(v[steer.Ackermann]/degree, excess))
	}
	secondPart(&t, samples, column)
	t.line("")
	t.item("servo", "%s", servoWords)
	t.item("wheels", "road steer angle, seen from above: L to the left, R to the right")
	t.item("rates", "degrees of wheel for each degree of servo")
	t.item("horn angle", "between horn and drag link; 90 is square")
	t.item("far angle", "between drag link and what it pulls")
	t.item("circle", "diameter in metres of the path of the middle of the other axle")
	t.item("outer excess", "degrees that the outer wheel turns more than Ackermann asks for, that is, than if its axis met the other axle's line where the inner wheel's does")
	t.item("knuckles", "turned about their kingpins, which is not what the wheels' planes turn by")
	t.item("cambers", "degrees, the wheel's top outward")
	t.item("link travel", "mm that the horn has moved the drag link along its line, towards the far ball")
	t.item("tyre circle", "diameter in metres of what the outer edge of the outer front tyre touches")
	t.item("Ackermann", "(inner − outer) / (inner − ideal outer) at the same inner angle: 100 %% is Ackermann, 0 %% parallel, and near straight ahead it means nothing")
	t.item("leverage", "how far from the nearest dead point of the rods: 0 there, 1 at best")
	var worst steer.Sample
	for _, r := range samples {
		if r.Uncertain[steer.RoadLeft]+r.Uncertain[steer.RoadRight] > worst.Uncertain[steer.RoadLeft]+worst.Uncertain[steer.RoadRight] {
			worst = r
		}
	}
	if u := max(worst.Uncertain[steer.RoadLeft], worst.Uncertain[steer.RoadRight]); u > 0 {
		t.line("")
		t.item("uncertainty", "from the measurements' (95 %%), where it is greatest: wheels ± %s°, rates ± %s, horn angle ± %s°; CSV and JSON give each figure its own",
			own(u/degree), own(max(worst.RatesUncertain[steer.RoadLeft], worst.RatesUncertain[steer.RoadRight])), own(worst.Uncertain[steer.HornAngle]/degree))
	}
	if err := mattersInSweep(&t, m, samples); err != nil {
		return err
	}
	_, err := io.WriteString(w, t.String())
	return err
}

// leastCertain returns the row at which a quantity is least certain, false if nothing states an uncertainty of it.
func leastCertain(samples []steer.Sample, q steer.Quantity) (worst steer.Sample, ok bool) {
	for _, r := range samples {
		if u := r.Uncertain[q]; finite(u) && u > worst.Uncertain[q] {
			worst, ok = r, true
		}
	}
	return worst, ok
}

// contributions returns the measurements that a quantity's uncertainty mostly comes from, at the row where
// it is greatest.
func contributions(m *steer.Model, samples []steer.Sample, q steer.Quantity) (steer.Sample, []steer.Share, error) {
	worst, ok := leastCertain(samples, q)
	if !ok {
		return worst, nil, nil
	}
	at, err := m.At(q, worst.Servo)
	if err != nil {
		return worst, nil, err
	}
	return worst, greatest(at.Shares()), nil
}

// greatest keeps the three greatest shares, and of those what is at least a hundredth.
func greatest(shares []steer.Share) []steer.Share {
	n := 0
	for n < min(3, len(shares)) && shares[n].Part >= 0.01 {
		n++
	}
	return shares[:n]
}

// mattersInSweep writes where the uncertainty of the main quantities comes from.
func mattersInSweep(t *printer, m *steer.Model, samples []steer.Sample) error {
	first := true
	for _, q := range []steer.Quantity{steer.RoadLeft, steer.RoadRight, steer.HornAngle, steer.FarAngle, steer.Curvature, steer.Ackermann} {
		worst, shares, err := contributions(m, samples, q)
		if err != nil {
			return err
		}
		if len(shares) == 0 {
			continue
		}
		if first {
			t.line("")
			t.line("WHAT MATTERS MOST, where each is least certain")
			first = false
		}
		var parts []string
		for _, h := range shares {
			parts = append(parts, fmt.Sprintf("%s %s %%", h.Measure.Words(), number(100*h.Part, 0)))
		}
		unit, times := unitOf(q.Info().Unit)
		if unit == "deg" {
			unit = "°"
		} else {
			unit = " " + unit
		}
		t.item("± "+own(worst.Uncertain[q]*times)+unit, "%s: %s", q.Info().Words, strings.Join(parts, ", "))
	}
	return nil
}

// secondPart writes the table's second part.
func secondPart(t *printer, samples []steer.Sample, column func(steer.Quantity, int) int) {
	turn := max(column(steer.TurnLeft, 2), column(steer.TurnRight, 2))
	camber := max(column(steer.CamberLeft, 1), column(steer.CamberRight, 1))
	travel := typicalDigits(samples, 2, func(r *steer.Sample) float64 { return r.Uncertain[steer.LinkTravel] })
	circle := typicalDigits(samples, 2, func(r *steer.Sample) float64 { return 2 * r.Uncertain[steer.OuterRadius] / 1000 })
	t.line("")
	t.line("%10s %9s %9s %6s %6s %6s %6s %9s %8s", "servo", "left", "right", "left", "right", "link", "tyre", "Acker-", "lever-")
	t.line("%10s %9s %9s %6s %6s %6s %6s %9s %8s", "", "knuckle", "knuckle", "camber", "camber", "travel", "circle", "mann", "age")
	for _, r := range samples {
		v := r.Values
		ackermann, tyre := "–", "–"
		if percent, ok := v.AckermannPercent(); ok {
			ackermann = number(percent, 0) + " %"
		}
		if d := 2 * v[steer.OuterRadius] / 1000; d < 100 {
			tyre = number(d, circle)
		}
		t.line("%10s %9s %9s %6s %6s %6s %6s %9s %8s",
			turnWord(r.Servo), sideShort(v[steer.TurnLeft], turn), sideShort(v[steer.TurnRight], turn),
			number(v[steer.CamberLeft]/degree, camber), number(v[steer.CamberRight]/degree, camber),
			number(v[steer.LinkTravel], travel), tyre, ackermann, number(v[steer.Leverage], 2))
	}
}

// servoWords explains the servo angles of a table.
const servoWords = "degrees from neutral as one looks at the horn's face: cc counter-clockwise, c clockwise"

// own writes an uncertainty to the figures that it is itself worth.
func own(uncertain float64) string { return number(uncertain, digits(uncertain, 3)) }

func turnWord(v float64) string {
	s := number(math.Abs(v)/degree, 1)
	switch {
	case isZero(s):
		return s + "°   "
	case v > 0:
		return s + "° cc"
	default:
		return s + "° c "
	}
}

func sideShort(v float64, decimals int) string {
	s := number(math.Abs(v)/degree, decimals)
	switch {
	case isZero(s):
		return s + "°  "
	case v > 0:
		return s + "° L"
	default:
		return s + "° R"
	}
}

// SweepCSV writes every quantity, its uncertainty, its rate and the rate's uncertainty, a row for each
// servo angle. The header names the units.
func SweepCSV(w io.Writer, samples []steer.Sample) error {
	out := csv.NewWriter(w)
	head := []string{"servo (deg)"}
	for q := range steer.NumQuantities {
		unit, _ := unitOf(q.Info().Unit)
		key := q.Info().Key
		rate := rateUnit(unit)
		head = append(head, key+" ("+unit+")")
		if !q.Info().Bare {
			head = append(head, key+" ± ("+unit+")", key+" rate ("+rate+")", key+" rate ± ("+rate+")")
		}
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for _, r := range samples {
		line := []string{format(r.Servo / degree)}
		for q := range steer.NumQuantities {
			_, times := unitOf(q.Info().Unit)
			line = append(line, format(r.Values[q]*times))
			if !q.Info().Bare {
				line = append(line, format(r.Uncertain[q]*times), format(r.Rates[q]*times*degree), format(r.RatesUncertain[q]*times*degree))
			}
		}
		if err := out.Write(line); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func rateUnit(unit string) string {
	if unit == "deg" {
		return "deg/deg"
	}
	return unit + "/deg"
}

func format(v float64) string {
	if !finite(v) {
		return ""
	}
	return strconv.FormatFloat(v+0, 'g', 9, 64) // and not -0
}

// Figure is a number in JSON. A number that there is not is null.
type Figure struct {
	Value     *float64 `json:"value"`
	Uncertain float64  `json:"uncertainty,omitempty"`
	Unit      string   `json:"unit"`
}

func figure(v, uncertain float64, u steer.Unit) Figure {
	unit, times := unitOf(u)
	return plain(v*times, uncertain*times, unit)
}

func resultFigure(r steer.Result, u steer.Unit) Figure { return figure(r.Value, r.Uncertain, u) }

// plain makes a figure of a number in the unit shown. One that is not finite, or not known to any
// finite uncertainty, has no value.
func plain(v, uncertain float64, unit string) Figure {
	f := Figure{Unit: unit}
	v += 0 // and not -0
	if finite(v) && finite(uncertain) {
		f.Value, f.Uncertain = &v, uncertain
	}
	return f
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

type sweepRow struct {
	Servo  Figure            `json:"servo"`
	Values map[string]Figure `json:"values"`
	Rates  map[string]Figure `json:"rates"`
	// AckermannPercent is by the definition in Definitions, left out near straight ahead.
	AckermannPercent *Figure `json:"ackermann_percent,omitempty"`
}

// Definitions say what the figures mean where makers and books differ.
var Definitions = map[string]string{
	"uncertainty":       "half-width of about 95 % confidence, from the uncertainties in the rig file",
	"servo":             "from the neutral pulse, counter-clockwise positive looking at the horn's face",
	"road_left":         "yaw of the wheel plane seen from above, positive to the left (ISO 8855)",
	"curvature":         "of the path of the middle of the other axle, mean of what each wheel asks for, positive to the left",
	"ackermann_error":   "how much further the outer wheel is turned than if its axis met the other axle's line where the inner wheel's does",
	"ackermann_percent": "(inner - outer) / (inner - ideal outer) at the same inner angle; 0 is parallel, 100 is Ackermann",
	"outer_radius":      "of the circle touched by the outer edge of the outer front tyre's contact",
	"step":              "one of what the transmitter's screen counts",
}

// SweepJSON writes a sweep with units and uncertainties.
func SweepJSON(w io.Writer, m *steer.Model, samples []steer.Sample) error {
	doc := struct {
		Rig         string            `json:"rig"`
		Definitions map[string]string `json:"definitions"`
		Rows        []sweepRow        `json:"rows"`
		// MattersMost has, for each quantity, where it is least certain and what that mostly comes from.
		MattersMost map[string]sharesDoc `json:"matters_most"`
	}{Rig: m.Rig.Name, Definitions: Definitions, MattersMost: map[string]sharesDoc{}}
	for q := range steer.NumQuantities {
		worst, shares, err := contributions(m, samples, q)
		if err != nil {
			return err
		}
		if len(shares) > 0 {
			doc.MattersMost[q.Info().Key] = sharesDoc{figure(worst.Servo, 0, steer.Radian), sharesOf(shares)}
		}
	}
	for _, r := range samples {
		one := sweepRow{Servo: figure(r.Servo, 0, steer.Radian), Values: map[string]Figure{}, Rates: map[string]Figure{}}
		for q := range steer.NumQuantities {
			info := q.Info()
			one.Values[info.Key] = figure(r.Values[q], r.Uncertain[q], info.Unit)
			if info.Bare {
				continue
			}
			rate := figure(r.Rates[q]*degree, r.RatesUncertain[q]*degree, info.Unit)
			rate.Unit = rateUnit(rate.Unit)
			one.Rates[info.Key] = rate
		}
		if pc, ok := r.Values.AckermannPercent(); ok {
			f := plain(pc, 0, "%")
			one.AckermannPercent = &f
		}
		doc.Rows = append(doc.Rows, one)
	}
	return writeJSON(w, doc)
}

type sharesDoc struct {
	Servo  Figure     `json:"servo"`
	Shares []shareDoc `json:"shares"`
}

func writeJSON(w io.Writer, doc any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(doc)
}
