package report

import (
	"io"

	"evenlock/radio"
	"evenlock/setup"
	"evenlock/steer"
)

type planDoc struct {
	Rig         string             `json:"rig"`
	Definitions map[string]string  `json:"definitions"`
	Cautions    []string           `json:"cautions"`
	OffSquare   Figure             `json:"off_square"`
	SquareAt    *Figure            `json:"square_at_servo,omitempty"`
	Horn        hornDoc            `json:"horn"`
	Subtrim     *settingDoc        `json:"subtrim,omitempty"`
	Rods        []rodDoc           `json:"rods"`
	Left        endDoc             `json:"left"`
	Right       endDoc             `json:"right"`
	Expo        *shapeDoc          `json:"expo,omitempty"`
	Curve       *shapeDoc          `json:"curve,omitempty"`
	Settings    *settingsDoc       `json:"settings,omitempty"`
	Trim        *trimDoc           `json:"trim,omitempty"`
	Evenness    map[string]evenDoc `json:"evenness"`
	Worth       []shareDoc         `json:"worth_measuring_again"`
	Notes       []noteDoc          `json:"notes"`
}

type hornDoc struct {
	Square   Figure `json:"turn_to_square"`
	Known    bool   `json:"spline_known"`
	Teeth    Figure `json:"teeth_counter_clockwise"`
	Arm      Figure `json:"arm_counter_clockwise"`
	LeftOver Figure `json:"left_over"`
	Step     Figure `json:"step"`
}

type settingDoc struct {
	Set      Figure `json:"set"`
	Exact    Figure `json:"exact"`
	Servo    Figure `json:"servo"`
	Residual Figure `json:"residual"`
}

type rodDoc struct {
	Name     string  `json:"name"`
	Key      string  `json:"key"`
	Now      Figure  `json:"now"`
	Length   Figure  `json:"length"`
	Turns    *Figure `json:"turns,omitempty"`
	PerTurn  *Figure `json:"per_turn,omitempty"`
	Residual Figure  `json:"residual"`
	Fits     bool    `json:"fits"`
}

type endDoc struct {
	Endpoint  *settingDoc `json:"endpoint,omitempty"`
	Servo     Figure      `json:"servo"`
	Inner     Figure      `json:"inner_wheel"`
	Outer     Figure      `json:"outer_wheel"`
	Curvature Figure      `json:"curvature"`
	Governs   string      `json:"governs"`
	Key       string      `json:"governs_key,omitempty"`
	Matched   bool        `json:"held_back_to_match"`
	Stops     []stopDoc   `json:"stops"`
}

type stopDoc struct {
	Words string `json:"words"`
	Key   string `json:"key,omitempty"`
	Servo Figure `json:"servo"`
	Left  Figure `json:"turn_left"`
	Right Figure `json:"turn_right"`
}

type shapeDoc struct {
	Expo   *Figure      `json:"expo,omitempty"`
	Points *list        `json:"points,omitempty"`
	Before remainingDoc `json:"before"`
	After  remainingDoc `json:"after"`
}

type remainingDoc struct {
	Nonlinear Figure `json:"from_linear"`
	Uneven    Figure `json:"left_against_right"`
}

// list is several numbers of one unit.
type list struct {
	Values []float64 `json:"values"`
	Unit   string    `json:"unit"`
}

// curveOf makes a list of a curve's points, nil of none.
func curveOf(points []float64) *list {
	if points == nil {
		return nil
	}
	return &list{points, "%"}
}

type settingsDoc struct {
	Reverse       bool   `json:"reverse"`
	Subtrim       Figure `json:"subtrim"`
	EndpointLeft  Figure `json:"endpoint_left"`
	EndpointRight Figure `json:"endpoint_right"`
	Rate          Figure `json:"rate"`
	Expo          Figure `json:"expo"`
	Curve         *list  `json:"curve,omitempty"`
}

type trimDoc struct {
	Moves string `json:"moves"`
	// Positive and Negative have no value where nothing ends the trim.
	Positive Figure    `json:"room_positive"`
	Negative Figure    `json:"room_negative"`
	Subtrim  []moveDoc `json:"subtrim_afterwards"`
}

type moveDoc struct {
	By     Figure `json:"by"`
	Left   Figure `json:"lock_left_changes"`
	Right  Figure `json:"lock_right_changes"`
	Passes string `json:"passes,omitempty"`
}

type evenDoc struct {
	InnerLeft  Figure `json:"inner_left"`
	InnerRight Figure `json:"inner_right"`
	Lock       Figure `json:"lock_difference"`
	Path       Figure `json:"path_difference"`
	Rate       Figure `json:"slope_difference"`
}

type shareDoc struct {
	Key   string `json:"key"`
	Words string `json:"words"`
	Part  Figure `json:"part_of_variance"`
}

func sharesOf(shares []steer.Share) []shareDoc {
	all := make([]shareDoc, len(shares))
	for i, h := range shares {
		all[i] = shareDoc{h.Measure.Path, h.Measure.Words(), plain(h.Part, 0, "1")}
	}
	return all
}

type noteDoc struct {
	Problem string `json:"problem"`
	Remedy  string `json:"remedy"`
}

// PlanJSON writes a set-up with units and uncertainties.
func PlanJSON(w io.Writer, p *setup.Plan) error {
	d := planDoc{
		Rig: p.Before.Rig.Name, Definitions: Definitions, Cautions: Cautions,
		OffSquare: resultFigure(p.Square.Miss, steer.Radian),
		Horn: hornDoc{
			resultFigure(p.Horn.Turn, steer.Radian), p.Horn.Known, plain(float64(p.Horn.Teeth), 0, "teeth"), plain(float64(p.Horn.Arm), 0, "arms"),
			figure(p.Horn.LeftOver, 0, steer.Radian), figure(p.Horn.Step, 0, steer.Radian),
		},
		Left: endOf(p, &p.Left), Right: endOf(p, &p.Right),
		Evenness: map[string]evenDoc{"now": evenOf(p.EvenBefore), "ends_set": evenOf(p.EvenAfter)},
		Notes:    []noteDoc{},
	}
	if p.Square.Reached {
		f := resultFigure(p.Square.Servo, steer.Radian)
		d.SquareAt = &f
	}
	for _, r := range p.Rods {
		rod := rodDoc{
			Name: r.Name, Key: r.Key, Now: resultFigure(r.Now, steer.Millimetre), Length: resultFigure(r.Length, steer.Millimetre),
			Residual: figure(r.Residual, 0, steer.Millimetre), Fits: r.Fits,
		}
		if perTurn := r.Pitch * r.Pitches; perTurn > 0 {
			turns, each := plain(r.Turns, 0, "turns"), figure(perTurn, 0, steer.Millimetre)
			rod.Turns, rod.PerTurn = &turns, &each
		}
		d.Rods = append(d.Rods, rod)
	}
	_, uncertain := worth(p)
	d.Worth = sharesOf(greatest(uncertain.Shares()))
	for _, n := range p.Notes {
		d.Notes = append(d.Notes, noteDoc{n.Problem, n.Remedy})
	}
	if p.Calibrated {
		calibrated(&d, p)
	}
	return writeJSON(w, d)
}

// calibrated adds what only a calibrated transmitter has.
func calibrated(d *planDoc, p *setup.Plan) {
	d.Subtrim = settingOf(p.Subtrim, 0)
	s := p.Settings
	d.Settings = &settingsDoc{
		s.Reverse, plain(s.Subtrim, 0, "step"), plain(s.EndpointLeft, 0, "step"), plain(s.EndpointRight, 0, "step"),
		plain(100, 0, "%"), plain(s.Expo, 0, "%"), curveOf(s.Curve),
	}
	d.Evenness["in_the_end"] = evenOf(p.EvenShaped)
	if p.Expo != nil {
		d.Expo = shapeOf(p.Expo)
		expo := plain(p.Expo.Expo, 0, "%")
		d.Expo.Expo = &expo
	}
	if p.Curve != nil {
		d.Curve = shapeOf(p.Curve)
	}
	d.Trim = &trimDoc{Moves: p.Calibration.TrimKind.String(), Positive: plain(p.Trim.Room.Positive, 0, "step"), Negative: plain(p.Trim.Room.Negative, 0, "step")}
	for _, m := range p.Trim.Moves {
		d.Trim.Subtrim = append(d.Trim.Subtrim, moveDoc{plain(m.Steps, 0, "step"), figure(m.Left, 0, steer.Radian), figure(m.Right, 0, steer.Radian), m.Passes})
	}
}

func settingOf(s radio.Setting, uncertain float64) *settingDoc {
	return &settingDoc{
		plain(s.Value, uncertain, "step"), plain(s.Exact, 0, "step"),
		figure(s.Angle, s.Uncertainty, steer.Radian), figure(s.Residual, 0, steer.Radian),
	}
}

func endOf(p *setup.Plan, e *setup.End) endDoc {
	d := endDoc{
		Servo: resultFigure(e.Servo, steer.Radian), Inner: resultFigure(e.Inner, steer.Radian), Outer: resultFigure(e.Outer, steer.Radian),
		Curvature: resultFigure(e.Curvature, steer.PerMillimetre), Governs: e.Governs, Key: e.Key, Matched: e.Matched,
	}
	if p.Calibrated {
		d.Endpoint = settingOf(e.Endpoint, endpointUncertain(e))
	}
	for _, st := range e.Stops {
		d.Stops = append(d.Stops, stopDoc{st.Words, st.Key, resultFigure(st.Servo, steer.Radian), figure(st.TurnLeft, 0, steer.Radian), figure(st.TurnRight, 0, steer.Radian)})
	}
	return d
}

func shapeOf(s *radio.Shaping) *shapeDoc {
	return &shapeDoc{nil, curveOf(s.Curve), remainingOf(s.Before), remainingOf(s.After)}
}

func remainingOf(r radio.Remaining) remainingDoc {
	return remainingDoc{plain(r.Nonlinear, 0, "1"), plain(r.Uneven, 0, "1")}
}

func evenOf(e steer.Evenness) evenDoc {
	return evenDoc{figure(e.InnerLeft, 0, steer.Radian), figure(e.InnerRight, 0, steer.Radian), figure(e.Lock, 0, steer.Radian), plain(e.Path, 0, "1"), plain(e.Rate, 0, "1")}
}
