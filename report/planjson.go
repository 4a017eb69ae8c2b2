package report

import (
	"io"
	"math"

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
	Teeth    int    `json:"teeth_counter_clockwise"`
	Arm      int    `json:"arm_counter_clockwise"`
	LeftOver Figure `json:"left_over"`
	Step     Figure `json:"step"`
}

type settingDoc struct {
	Value     float64 `json:"value"`
	Exact     float64 `json:"exact"`
	Servo     Figure  `json:"servo"`
	Residual  Figure  `json:"residual"`
	Uncertain float64 `json:"uncertainty,omitempty"`
}

type rodDoc struct {
	Name     string  `json:"name"`
	Key      string  `json:"key"`
	Now      Figure  `json:"now"`
	Length   Figure  `json:"length"`
	Turns    float64 `json:"turns"`
	PerTurn  Figure  `json:"per_turn"`
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
	Expo   *float64     `json:"expo_percent,omitempty"`
	Points []float64    `json:"points,omitempty"`
	Before remainingDoc `json:"before"`
	After  remainingDoc `json:"after"`
}

type remainingDoc struct {
	Nonlinear float64 `json:"from_linear"`
	Uneven    float64 `json:"left_against_right"`
}

type settingsDoc struct {
	Reverse       bool      `json:"reverse"`
	Subtrim       float64   `json:"subtrim"`
	EndpointLeft  float64   `json:"endpoint_left"`
	EndpointRight float64   `json:"endpoint_right"`
	Rate          float64   `json:"rate"`
	Expo          float64   `json:"expo"`
	Curve         []float64 `json:"curve,omitempty"`
}

type trimDoc struct {
	Moves    string    `json:"moves"`
	Positive *float64  `json:"room_positive"`
	Negative *float64  `json:"room_negative"`
	Subtrim  []moveDoc `json:"subtrim_afterwards"`
}

type moveDoc struct {
	Steps  float64 `json:"steps"`
	Left   Figure  `json:"lock_left_changes"`
	Right  Figure  `json:"lock_right_changes"`
	Passes string  `json:"passes,omitempty"`
}

type evenDoc struct {
	InnerLeft  Figure  `json:"inner_left"`
	InnerRight Figure  `json:"inner_right"`
	Lock       Figure  `json:"lock_difference"`
	Path       float64 `json:"path_difference"`
	Rate       float64 `json:"slope_difference"`
}

type shareDoc struct {
	Key   string  `json:"key"`
	Words string  `json:"words"`
	Part  float64 `json:"part_of_variance"`
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
			resultFigure(p.Horn.Turn, steer.Radian), p.Horn.Known, p.Horn.Teeth, p.Horn.Arm,
			figure(p.Horn.LeftOver, 0, steer.Radian), figure(p.Horn.Step, 0, steer.Radian),
		},
		Left: endOf(p, &p.Left), Right: endOf(p, &p.Right),
		Evenness: map[string]evenDoc{"now": evenOf(p.EvenBefore), "ends_set": evenOf(p.EvenAfter)},
		Worth:    []shareDoc{}, Notes: []noteDoc{},
	}
	if p.Square.Reached {
		f := resultFigure(p.Square.Servo, steer.Radian)
		d.SquareAt = &f
	}
	for _, r := range p.Rods {
		d.Rods = append(d.Rods, rodDoc{
			r.Name, r.Key, resultFigure(r.Now, steer.Millimetre), resultFigure(r.Length, steer.Millimetre),
			r.Turns, plain(r.Pitch*r.Pitches, "mm"), plain(r.Residual, "mm"), r.Fits,
		})
	}
	for i, s := range p.After.Shares(p.Left.Inner) {
		if i == 3 || s.Part == 0 {
			break
		}
		d.Worth = append(d.Worth, shareDoc{s.Measure.Path, s.Measure.Words(), s.Part})
	}
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
	d.Settings = &settingsDoc{s.Reverse, s.Subtrim, s.EndpointLeft, s.EndpointRight, 100, s.Expo, s.Curve}
	d.Evenness["in_the_end"] = evenOf(p.EvenShaped)
	if p.Expo != nil {
		d.Expo = shapeOf(p.Expo)
		d.Expo.Expo = &p.Expo.Expo
	}
	if p.Curve != nil {
		d.Curve = shapeOf(p.Curve)
	}
	d.Trim = &trimDoc{Moves: p.Calibration.TrimKind.String(), Positive: finite(p.Trim.Room.Positive), Negative: finite(p.Trim.Room.Negative)}
	for _, m := range p.Trim.Moves {
		d.Trim.Subtrim = append(d.Trim.Subtrim, moveDoc{m.Steps, figure(m.Left, 0, steer.Radian), figure(m.Right, 0, steer.Radian), m.Passes})
	}
}

func finite(v float64) *float64 {
	if math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func settingOf(s radio.Setting, uncertain float64) *settingDoc {
	return &settingDoc{s.Value, s.Exact, figure(s.Angle, s.Uncertainty, steer.Radian), figure(s.Residual, 0, steer.Radian), uncertain}
}

func endOf(p *setup.Plan, e *setup.End) endDoc {
	d := endDoc{
		Servo: resultFigure(e.Servo, steer.Radian), Inner: resultFigure(e.Inner, steer.Radian), Outer: resultFigure(e.Outer, steer.Radian),
		Curvature: resultFigure(e.Curvature, steer.PerMillimetre), Governs: e.Governs, Key: e.Key, Matched: e.Matched,
	}
	if p.Calibrated {
		d.Endpoint = settingOf(e.Endpoint, e.EndpointUncertain)
	}
	for _, st := range e.Stops {
		d.Stops = append(d.Stops, stopDoc{st.Words, st.Key, resultFigure(st.Servo, steer.Radian), figure(st.TurnLeft, 0, steer.Radian), figure(st.TurnRight, 0, steer.Radian)})
	}
	return d
}

func shapeOf(s *radio.Shaping) *shapeDoc {
	return &shapeDoc{nil, s.Curve, remainingDoc(s.Before), remainingDoc(s.After)}
}

func evenOf(e steer.Evenness) evenDoc {
	return evenDoc{figure(e.InnerLeft, 0, steer.Radian), figure(e.InnerRight, 0, steer.Radian), figure(e.Lock, 0, steer.Radian), e.Path, e.Rate}
}
