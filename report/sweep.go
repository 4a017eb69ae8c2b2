package report

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"

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

// Sweep writes a table of at most 80 columns.
func Sweep(w io.Writer, name string, rows []steer.Row) error {
	var t printer
	t.line("SWEEP of %s, servo from neutral, lock to lock", name)
	t.line("")
	t.line("%10s %9s %9s %7s %7s %6s %6s %8s %8s", "servo", "left", "right", "rate l", "rate r", "horn", "far", "circle", "excess")
	t.line("%10s %9s %9s %7s %7s %6s %6s %8s %8s", "", "wheel", "wheel", "", "", "angle", "angle", "m", "outer")
	for _, r := range rows {
		v := r.Values
		circle := "–"
		if d := 2 / math.Abs(v[steer.Curvature]) / 1000; d < 100 {
			circle = number(d, 2)
		}
		t.line("%10s %9s %9s %7s %7s %6s %6s %8s %8s",
			turnWord(r.Servo), sideShort(v[steer.RoadLeft]), sideShort(v[steer.RoadRight]),
			number(r.Rates[steer.RoadLeft], 3), number(r.Rates[steer.RoadRight], 3),
			number(v[steer.HornAngle]/degree, 1), number(v[steer.FarAngle]/degree, 1),
			circle, number(v[steer.Ackermann]/degree, 2))
	}
	t.line("")
	t.line("  %s", wrap("Servo: cc is counter-clockwise, c clockwise, looking at the horn's face. Wheels: road steer angle in degrees, L left, R right. "+
		"Rates: degrees of wheel per degree of servo. Horn and far angle: between the drag link and the horn, and what it pulls. "+
		"Circle: diameter of the path of the middle of the other axle. "+
		"Excess: how many degrees more the outer wheel turns than it would if its axis met the other axle's line where the inner wheel's does (Ackermann).", 2))
	var worst steer.Row
	for _, r := range rows {
		if r.Uncertain[steer.RoadLeft]+r.Uncertain[steer.RoadRight] > worst.Uncertain[steer.RoadLeft]+worst.Uncertain[steer.RoadRight] {
			worst = r
		}
	}
	if u := max(worst.Uncertain[steer.RoadLeft], worst.Uncertain[steer.RoadRight]); u > 0 {
		t.line("")
		t.line("  %s", wrap(fmt.Sprintf("Uncertainty from the measured dimensions (95 %%): wheel angles ± %s° at most, rates ± %s, horn angle ± %s°. CSV and JSON have each figure's own.",
			number(u/degree, 1), number(max(worst.RatesUncertain[steer.RoadLeft], worst.RatesUncertain[steer.RoadRight]), 3), number(worst.Uncertain[steer.HornAngle]/degree, 1)), 2))
	}
	_, err := io.WriteString(w, t.String())
	return err
}

func turnWord(v float64) string {
	s := number(math.Abs(v)/degree, 1)
	switch {
	case s == "0.0":
		return s + "°   "
	case v > 0:
		return s + "° cc"
	default:
		return s + "° c "
	}
}

func sideShort(v float64) string {
	s := number(math.Abs(v)/degree, 2)
	switch {
	case s == "0.00":
		return s + "°  "
	case v > 0:
		return s + "° L"
	default:
		return s + "° R"
	}
}

// SweepCSV writes every quantity, its uncertainty, its rate and the rate's uncertainty, a row for each
// servo angle. The header names the units.
func SweepCSV(w io.Writer, rows []steer.Row) error {
	out := csv.NewWriter(w)
	head := []string{"servo (deg)"}
	for q := range steer.NumQuantities {
		unit, _ := unitOf(q.Info().Unit)
		key := q.Info().Key
		rate := rateUnit(unit)
		head = append(head, key+" ("+unit+")", key+" ± ("+unit+")", key+" rate ("+rate+")", key+" rate ± ("+rate+")")
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for _, r := range rows {
		line := []string{format(r.Servo / degree)}
		for q := range steer.NumQuantities {
			_, times := unitOf(q.Info().Unit)
			line = append(line, format(r.Values[q]*times), format(r.Uncertain[q]*times), format(r.Rates[q]*times*degree), format(r.RatesUncertain[q]*times*degree))
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
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'g', 9, 64)
}

// Figure is a number in JSON. A number that there is not is null.
type Figure struct {
	Value     *float64 `json:"value"`
	Uncertain float64  `json:"uncertainty,omitempty"`
	Unit      string   `json:"unit"`
}

func figure(v, uncertain float64, u steer.Unit) Figure {
	unit, times := unitOf(u)
	f := Figure{Unit: unit}
	if v *= times; !math.IsNaN(v) && !math.IsInf(v, 0) {
		f.Value, f.Uncertain = &v, uncertain*times
	}
	return f
}

func resultFigure(r steer.Result, u steer.Unit) Figure { return figure(r.Value, r.Uncertain, u) }

func plain(v float64, unit string) Figure { return Figure{Value: &v, Unit: unit} }

type sweepRow struct {
	Servo  Figure            `json:"servo"`
	Values map[string]Figure `json:"values"`
	Rates  map[string]Figure `json:"rates"`
	// AckermannPercent is by the definition in Definitions, left out near straight ahead.
	AckermannPercent *float64 `json:"ackermann_percent,omitempty"`
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
}

// SweepJSON writes a sweep with units and uncertainties.
func SweepJSON(w io.Writer, name string, rows []steer.Row) error {
	doc := struct {
		Rig         string            `json:"rig"`
		Definitions map[string]string `json:"definitions"`
		Rows        []sweepRow        `json:"rows"`
	}{Rig: name, Definitions: Definitions}
	for _, r := range rows {
		one := sweepRow{Servo: figure(r.Servo, 0, steer.Radian), Values: map[string]Figure{}, Rates: map[string]Figure{}}
		for q := range steer.NumQuantities {
			info := q.Info()
			one.Values[info.Key] = figure(r.Values[q], r.Uncertain[q], info.Unit)
			rate := figure(r.Rates[q]*degree, r.RatesUncertain[q]*degree, info.Unit)
			rate.Unit = rateUnit(rate.Unit)
			one.Rates[info.Key] = rate
		}
		if pc, ok := r.Values.AckermannPercent(); ok {
			one.AckermannPercent = &pc
		}
		doc.Rows = append(doc.Rows, one)
	}
	return writeJSON(w, doc)
}

func writeJSON(w io.Writer, doc any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(doc)
}
