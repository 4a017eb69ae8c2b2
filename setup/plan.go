package setup

import (
	"errors"
	"math"

	"evenlock/radio"
	"evenlock/rig"
	"evenlock/steer"
	"evenlock/vehicle"
)

const degree = math.Pi / 180

// Plan is a set-up, in the order that the work is done.
type Plan struct {
	// Before is the rig as measured, After with the horn moved, the subtrim set and the rods
	// adjusted.
	Before, After *steer.Model
	// Square says how far horn and link are from square now.
	Square steer.Square
	// Calibration is the transmitter's; it is only of use where Calibrated.
	Calibration radio.Calibration
	Calibrated  bool
	Horn        Horn
	// Subtrim covers the angle that the spline leaves. Without a calibration it is zero.
	Subtrim radio.Setting
	Rods    []Rod
	// Ends are those of the lock, for full stick to each side.
	Ends [2]End
	// Settings is everything for the transmitter, with the expo or curve that serves best.
	Settings rig.Settings
	// Expo and Curve are nil where the transmitter has none.
	Expo, Curve *radio.Shaping
	Trim        *Trim
	// EvenBefore is for the settings and rods as they are, EvenAfter with the new ends, EvenShaped
	// with expo or curve as well.
	EvenBefore, EvenAfter, EvenShaped steer.Evenness
	// EvenPlace is nil where no place of the horn steers much more evenly than the one nearest
	// square.
	EvenPlace *EvenPlace
	// Notes say what could not be worked out and what would help, and what needs care.
	Notes []Note
	// tables are what the rig file says of the axle.
	tables *rig.OfAxle
}

// Horn is where to put the horn.
type Horn struct {
	// Turn is what makes it square with the wheels straight.
	Turn steer.Result
	// Known is false where the rig file does not state the spline's teeth; the horn then stays.
	Known bool
	radio.SplineFit
	// Step is the angle between neighbouring places.
	Step float64
}

// Rod is a rod to adjust.
type Rod struct {
	// Name is the rod's in words, Key its table in the rig file.
	Name, Key string
	// Now is its length as measured, or as the measured places make it, and Length the wanted one.
	Now, Length steer.Result
	// Pitches is how many pitches a turn changes it by, and Pitch the thread's in millimetres; zero
	// if not stated.
	Pitches, Pitch float64
	// Turns lengthen it where positive; in half turns where its ends ask for it.
	Turns float64
	// Residual is the wanted length less the one that whole half turns reach.
	Residual float64
	// Fits is false if the length is outside what the rod can be set to.
	Fits bool
}

// End is one end of the lock, at full stick.
type End struct {
	steer.Lock
	// Matched says that the end is held back for even lock, to match the other; Alone is the inner
	// wheel's angle that it would then reach by itself, where Governs ends it.
	Matched bool
	Alone   steer.Result
	// Endpoint is the setting, with the uncertainty of both linkage and
	// calibration in EndpointUncertain, in the transmitter's units.
	Endpoint          radio.Setting
	EndpointUncertain float64
}

// Trim says what trim and subtrim do after the endpoints are set.
type Trim struct {
	Room radio.TrimRoom
	// Moves are subtrim moves of so many steps either way with what they do.
	Moves []SubtrimMove
}

// SubtrimMove is what moving the subtrim after the endpoints are set does.
type SubtrimMove struct {
	Steps float64
	// More are the changes of the inner wheel's angle at full stick to each side, positive for more
	// lock.
	More [2]float64
	// Uneven is the difference of the inner wheels' angles, left less right, that it leaves.
	Uneven float64
	// Passes names a limit that full stick then passes, empty if none.
	Passes string
}

// Make works out the set-up of an axle. The errors are those of steer.Build and steer.Model.Stops,
// or radio's for readings that cannot be; a transmitter that is not calibrated is a note, not an
// error.
func Make(r *rig.Rig, axle int) (*Plan, error) {
	p := &Plan{}
	var err error
	if p.Before, err = steer.Build(r, steer.Options{Axle: axle}); err != nil {
		return nil, err
	}
	p.tables = p.Before.Tables()
	if p.Square, err = p.Before.Square(); err != nil {
		return nil, err
	}
	if err := p.calibrate(); err != nil {
		return nil, err
	}
	straight, err := p.Build(r, 0, 0)
	if err != nil {
		return nil, err
	}
	if err := p.placeHorn(straight); err != nil {
		return nil, err
	}
	toLeft := straight.Leftward()
	p.Settings.Reverse = p.Calibration.ReadReversed != (p.Calibrated && p.Calibration.Endpoint.PerUnit.Value*toLeft < 0)
	if p.After, err = p.Build(r, p.Placed(), p.setSubtrim()); err != nil {
		return nil, err
	}
	if err := p.adjustRods(); err != nil {
		return nil, err
	}
	if err := p.setEnds(); err != nil {
		return nil, err
	}
	if err := p.compare(); err != nil {
		return nil, err
	}
	p.lookForEvenPlace(toLeft)
	if !p.Calibrated {
		return p, nil
	}
	if err := p.shape(); err != nil {
		return nil, err
	}
	return p, p.seeTrim()
}

// Build makes the model of the plan's axle in a rig like its own, with balls moved, the horn
// turned, and the rods as long as it takes to go straight, with the toe that is wanted, at a servo
// angle.
func (p *Plan) Build(r *rig.Rig, hornTurn, centre float64, moved ...vehicle.Shift) (*steer.Model, error) {
	a := vehicle.Adjustment{HornTurn: hornTurn, Straighten: true, Centre: centre, Shifts: moved}
	if want := &p.tables.Want.Toe; want.Given {
		a.Toe = &want.Value
	}
	return steer.Build(r, steer.Options{Axle: p.Before.Axle.Number(), Adjustment: a})
}

// calibrate reads the transmitter; one without readings leaves a note.
func (p *Plan) calibrate() error {
	c, err := radio.Calibrate(p.tables.Transmitter, p.tables.Servo, p.tables.Settings.Reverse)
	p.Calibration = c
	var missing *radio.MissingReadingError
	if errors.As(err, &missing) {
		p.note(Note{Kind: NotCalibrated, Err: missing})
		return nil
	}
	p.Calibrated = err == nil
	p.Settings = c.Complete(p.Settings)
	return err
}

// placeHorn finds the place on the spline nearest square.
func (p *Plan) placeHorn(straight *steer.Model) error {
	turn, err := straight.Read(func(v *vehicle.Vehicle) (float64, error) {
		t, ok := v.SquareTurn(v.Leader())
		if !ok {
			return 0, errNeverSquare
		}
		return t, nil
	})
	if errors.Is(err, errNeverSquare) {
		p.note(Note{Kind: NeverSquare})
		return nil
	}
	if err != nil {
		return err
	}
	p.Horn.Turn = turn
	p.Horn.LeftOver = turn.Value
	servo := straight.Servo
	if servo.Teeth == 0 {
		p.note(Note{Kind: TeethUnknown, Key: servo.Key + ".teeth"})
		return nil
	}
	spline := radio.Spline{Teeth: servo.Teeth, Arms: max(1, servo.Arms)}
	p.Horn.Known, p.Horn.Step = true, spline.Step()
	p.Horn.SplineFit, err = spline.Nearest(turn.Value, 0)
	return err
}

var errNeverSquare = errors.New("never square")

// setSubtrim covers what the spline leaves; it returns the servo angle that it reaches.
func (p *Plan) setSubtrim() float64 {
	if !p.Calibrated {
		return p.Horn.LeftOver
	}
	var short *radio.RangeError
	set, err := p.Calibration.SubtrimFor(p.Settings, p.Horn.LeftOver)
	switch {
	case errors.As(err, &short):
		p.note(Note{Kind: SubtrimShort, Wanted: short.Wanted, Reached: short.Reached})
	case err != nil:
		p.note(Note{Kind: SubtrimUnknown, Err: err})
		return p.Horn.LeftOver
	}
	p.Subtrim = set
	p.Settings.Subtrim = set.Value
	return set.Angle
}

// leaveWithin is the change of a rod's length in mm that nobody makes: a tenth of a turn of a fine
// thread.
const leaveWithin = 0.05

// adjustRods compares the rods with what they are to be.
func (p *Plan) adjustRods() error {
	for _, rod := range p.Before.Vehicle.Steering() {
		now, err := p.Before.RodLength(rod)
		if err != nil {
			return err
		}
		wanted, err := p.After.RodLength(rod)
		if err != nil {
			return err
		}
		if math.Abs(wanted.Value-now.Value) < leaveWithin {
			// The rod that stays is known as well as it was measured, however well one knows what
			// length would be right.
			wanted = steer.Function(wanted.Value, steer.Term{Slope: 1, Of: now})
		}
		p.Rods = append(p.Rods, p.rod(rod, now, wanted))
	}
	return nil
}

func (p *Plan) rod(r *vehicle.Rod, now, wanted steer.Result) Rod {
	rod := Rod{Name: r.Name, Key: r.Key, Now: now, Length: wanted, Fits: true, Pitch: r.Stock.Pitch}
	switch r.Stock.Adjust {
	case "turnbuckle":
		rod.Pitches = 2
	case "plain", "plain-half-turn":
		rod.Pitches = 1
	}
	change := wanted.Value - now.Value
	if perTurn := rod.Pitch * rod.Pitches; perTurn > 0 {
		rod.Turns = change / perTurn
		if r.Stock.Adjust == "plain-half-turn" {
			rod.Turns = math.Round(2*rod.Turns) / 2
			rod.Residual = change - rod.Turns*perTurn
		}
	}
	p.noteRod(&rod, &r.Stock)
	return rod
}
