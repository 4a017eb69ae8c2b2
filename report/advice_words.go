package report

import (
	"math"
	"strings"

	"evenlock/advise"
	"evenlock/load"
	"evenlock/report/document"
	"evenlock/setup"
	"evenlock/steer"
)

// findingWords are a finding in words.
type findingWords struct {
	// headline has no full stop; text is whole sentences, each with a blank behind it.
	headline, text document.Sentence
	// do is the change, of what its figures are of, in unit and direction.
	do        document.Sentence
	of        string
	unit      document.Unit
	direction document.Direction
}

// adviceWords words a finding of a severity.
func adviceWords(p *setup.Plan, f *advise.Finding, severity document.Severity) findingWords {
	switch facts := f.Facts.(type) {
	case *advise.RodFails:
		return rodFailsWords(facts, f.Kind)
	case *advise.RodsHold:
		return rodsHoldWords(facts)
	case *advise.Servo:
		return servoStrengthWords(facts, f.Kind)
	case *advise.Holes:
		return holesWords(facts)
	case *advise.Drop:
		return dropWords(facts)
	case *advise.Passed:
		return passedWords(p, facts)
	case *advise.Straight:
		return straightWords(facts)
	case *advise.Toe:
		return toeWords(facts)
	case *advise.Square:
		return squareWords(p, facts, f.Kind)
	case *advise.EvenPlace:
		return evenPlaceWords(p, facts, severity)
	case *advise.FarSquare:
		return farSquareWords(facts, severity)
	case *advise.WantedLock:
		return wantedLockWords(facts)
	case *advise.Lock:
		return lockWords(facts, f.Kind)
	case *advise.Evenness:
		return evennessWords(p, facts, f.Kind)
	case *advise.Ackermann:
		return ackermannWords(facts, f.Kind)
	case *advise.MeasureAgain:
		return measureAgainWords(facts, f)
	case *advise.TrimRoom:
		return findingWords{
			headline: document.Say("Trim can turn the wheels ", size(facts.Left), " left and ", size(facts.Right), " right"),
			text:     stated("That is once set up, before the trim ends or a stop is met"),
		}
	case *advise.AxleJoint:
		return axleJointWords(facts)
	case *advise.BumpSteer:
		return bumpSteerWords(facts, f.Kind)
	case *advise.Panhard:
		return panhardWords(facts, f.Kind)
	case *advise.Binds:
		return bindsWords(facts)
	case *advise.TravelLock:
		return travelLockWords(facts)
	case *advise.Short:
		return findingWords{
			headline: document.Say("The suspension stops short of the travel in the file"),
			text:     stated(capital(TravelStops(facts.Stop))),
		}
	}
	return findingWords{headline: document.Say(f.Key)}
}

// size is a figure of an angle's size, off one with its ±.
func size(v float64) document.Figure { return document.F(v, document.Angle).Size() }

func off(r steer.Result) document.Figure { return angle(r).Size() }

// whole is the size of an angle in whole degrees.
func whole(v float64) document.Figure { return size(v).To(0) }

func rodFailsWords(facts *advise.RodFails, kind advise.Kind) findingWords {
	name := facts.Rod.Words
	w := findingWords{
		headline: document.Say("The ", name, " ", failure(facts.Rod), " under ", document.F(facts.Force.Size, document.Force)),
		text:     stated("That load comes ", causeWords(facts.Force.Cause), "; it bears ", document.F(facts.Force.Size*facts.Strength.SafetyFactor, document.Force)),
		of:       "safety factor",
	}
	thick := document.Say(document.F(facts.Diameter, document.Length), " thick")
	switch {
	case kind != advise.Do:
		w.text = joined(w.text, stated("No rod up to ", document.F(advise.Thickest, document.Length).To(0), " thicker is strong enough"))
	case facts.Diameter == 0:
		w.do = document.Say("straighten the ", name)
	case facts.Straighten:
		w.do = document.Say("make the ", name, " straight and ", thick)
	default:
		w.do = document.Say("make the ", name, " ", thick)
	}
	return w
}

func rodsHoldWords(facts *advise.RodsHold) findingWords {
	w := findingWords{headline: document.Say("Weakest rod: the ", facts.Weakest.Words, ", safety factor ", document.F(facts.SafetyFactor, document.One).Named("rods.safety_factor", ""))}
	if facts.Straight > 0 {
		w.text = stated("Without its bend of ", document.F(facts.Weakest.Rod.Offset, document.Length), " it would be ", document.F(facts.Straight, document.One))
	}
	return w
}

func servoStrengthWords(facts *advise.Servo, kind advise.Kind) findingWords {
	torque := func(v float64) document.Figure { return document.F(v, document.Torque) }
	against := document.Say("on standing tyres")
	switch {
	case facts.Against == load.ByRock && facts.RockHeight > 0:
		against = document.Say("against the ", document.F(facts.RockHeight, document.Length).To(0), " rock")
	case facts.Against == load.ByRock:
		against = document.Say("against the rock")
	}
	if kind == advise.Well {
		return findingWords{
			headline: document.Say("The servo is strong enough: safety factor ", document.F(facts.Has/facts.Needs, document.One).Named("servo.safety_factor", "")),
			text:     stated("That is ", against, ", all the way to full lock, without friction"),
		}
	}
	w := findingWords{
		text: stated("It needs at least ", torque(facts.Needs).Named("servo.needs", ""), " and has ", torque(facts.Has).Named("servo.has", "")),
		of:   "lock", unit: document.Angle,
	}
	stalls := func(side int) bool { return facts.Lock[side]-facts.Reach[side] >= worthSaying/2 }
	switch straight := facts.Reach[0] < worthSaying/2 && facts.Reach[1] < worthSaying/2; {
	case straight:
		w.headline = document.Say("The servo stalls ", against, ", even straight ahead")
	case stalls(load.ToLeft) && stalls(load.ToRight):
		w.headline = document.Say("The servo stalls ", against, " short of lock")
		w.text = joined(w.text, stated("It comes to ", size(facts.Reach[0]), " of ", size(facts.Lock[0]), " left and ", size(facts.Reach[1]), " of ", size(facts.Lock[1]), " right"))
	default:
		side := load.ToLeft
		if stalls(load.ToRight) {
			side = load.ToRight
		}
		w.headline = document.Say("The servo stalls ", against, " at ", size(facts.Reach[side]), " ", sideNames[side])
		w.text = joined(w.text, stated("Full lock to the ", sideNames[side], " is ", size(facts.Lock[side])))
	}
	switch {
	case facts.Hole > 0:
		w.do = document.Say("use the horn's ", document.F(facts.Hole, document.Length), " hole")
	case facts.Torque > 0:
		w.do = document.Say("fit a servo with ", torque(facts.Torque), " at ", document.F(facts.Voltage, document.Voltage))
	}
	for _, r := range facts.Weak {
		strength, _ := r.Weakest()
		w.text = joined(w.text, stated("With more torque the ", r.Words, " is the weak part: safety factor ", document.F(strength.SafetyFactor, document.One)))
	}
	return w
}

func holesWords(facts *advise.Holes) findingWords {
	w := findingWords{headline: document.Say("The horn's other holes trade torque against speed")}
	w.text = stated("On standing tyres, to ", size(facts.HornLock), " of lock")
	for _, h := range facts.Holes {
		use := ""
		if h.Hole == facts.InUse {
			use = ", in use"
		}
		w.text = joined(w.text, stated(document.F(h.Hole, document.Length), " hole", use, ": safety factor ", document.F(h.SafetyFactor, document.One), ", ", document.F(h.Seconds, document.Time), " lock to lock"))
	}
	return w
}

func dropWords(facts *advise.Drop) findingWords {
	return findingWords{
		headline: document.Say("A stalled servo drops the supply to ", document.F(facts.Stalled.Voltage, document.Voltage)),
		text:     stated("It draws ", document.F(facts.Stalled.Current, document.Current), " from ", document.F(facts.Supply.Voltage, document.Voltage)),
		do:       document.Say("halve the resistance of leads, plugs and regulator"),
		of:       "stall torque", unit: document.Torque,
	}
}

func passedWords(p *setup.Plan, facts *advise.Passed) findingWords {
	return findingWords{
		headline: document.Say("Full stick ", sideNames[facts.Side], " drives the servo ", off(facts.By), " past a stop"),
		text:     stated("It meets ", facts.Stop.Words, document.FileKey(facts.Stop.Key), ", stalls there and heats"),
		do:       document.Say("set endpoints ", endpointFigure(&p.Calibration, facts.EndpointLeft, 0), " left, ", endpointFigure(&p.Calibration, facts.EndpointRight, 0), " right"),
		of:       "past the stop", unit: document.Angle,
	}
}

func straightWords(facts *advise.Straight) findingWords {
	return findingWords{
		headline: document.Say("At neutral the wheels point ", angle(facts.Off).Signed(document.ToSide)),
		do:       document.Say("set horn and drag link as the set-up says"),
		of:       "wheels", unit: document.Angle, direction: document.ToSide,
	}
}

// toeWays are the directions of a wheel's toe.
var toeWays = document.Direction{Negative: "out", Zero: "straight", Positive: "in"}

func toeWords(facts *advise.Toe) findingWords {
	w := findingWords{
		headline: document.Say("Each wheel is ", off(facts.Off), " off the wanted toe"),
		text: stated("It points ", document.F(facts.Off.Value+facts.Wanted, document.Angle).Signed(toeWays), ", and ",
			document.F(facts.Wanted, document.Angle).Signed(toeWays), " is wanted"),
		do: document.Say("set the tie rod to the set-up's length"),
		of: "toe off the wanted", unit: document.Angle,
	}
	if facts.Turns != 0 {
		w.do = document.Say("turn the tie rod ", document.F(facts.Turns, document.Turn).Signed(document.Stretch))
	}
	return w
}

// tooClose says that the gain of a comparison is within its ±, if it is too close to call for that.
func tooClose(c *advise.Comparison, severity document.Severity) document.Sentence {
	if severity != document.TooClose || c.Servo == 0 {
		return nil
	}
	return stated("The gain in evenness of ", size(c.Gain), " is only good to ± ", size(c.Spread))
}

// leftRight is what two places of the steering are compared by.
const leftRight = "left against right"

// eachWay says at which servo angle left and right are compared.
func eachWay(c *advise.Comparison) document.Sentence {
	return stated("Left and right are compared at ", size(c.Servo), " of servo each way")
}

// clearlyOff reports whether a result is more than its ±.
func clearlyOff(r steer.Result) bool { return math.Abs(r.Value) > r.Uncertain }

func squareWords(p *setup.Plan, facts *advise.Square, kind advise.Kind) findingWords {
	w := findingWords{
		headline: document.Say("Horn and link are ", off(facts.Miss).Named("square.off", ""), " off square"),
		of:       leftRight, unit: document.Angle,
	}
	if kind == advise.Unsure && clearlyOff(facts.Miss) {
		// What is too close is the gain, not the angle.
		w.headline = document.Say("Squaring horn and link, ", off(facts.Miss).Named("square.off", ""), " off: no clear gain")
	}
	c := &facts.Comparison
	if c.Servo == 0 {
		if kind == advise.Well {
			w.headline = document.Say("Horn and link are square")
		}
		return w
	}
	subtrim := subtrimFigure(&p.Calibration, facts.Subtrim)
	switch {
	case !facts.Spline:
		w.do = document.Say("turn the servo ", document.F(facts.Turn, document.Angle).Signed(document.Rotation))
	case p.Horn.Teeth == 0 && p.Horn.Arm == 0:
		w.do = document.Say("set the subtrim to ", subtrim)
	default:
		w.do = document.Say("turn the horn", hornMove(p))
		if facts.Subtrim != 0 {
			w.text = stated("The subtrim is then ", subtrim)
		}
	}
	if kind == advise.Do {
		w.text = joined(w.text, eachWay(c))
		return w
	}
	// The set-up makes them square whatever this gains: both speak of one plan.
	w.text = joined(stated("The set-up makes them square"), stated("At ", size(c.Servo), " of servo each way, left and right then differ by ", size(c.After.Value), ", and by ", size(c.Before.Value), " now"))
	return w
}

func evenPlaceWords(p *setup.Plan, facts *advise.EvenPlace, severity document.Severity) findingWords {
	turned := document.F(facts.Turn, document.Angle).Signed(document.Rotation)
	return findingWords{
		headline: document.Say("Turned ", turned.Named("even_place.turn", ""), ", the horn steers more evenly"),
		text: joined(stated("That is ", places(p.EvenPlace.Places), " (", size(facts.Further), ") further ", rotation(facts.Further), " than the set-up puts it, square to the link"),
			stated("Square leaves ", size(facts.Square.Value)),
			stated("Measure the horn again there, and set up anew"), tooClose(&facts.Comparison, severity)),
		do: document.Say("turn the horn ", turned),
		of: leftRight, unit: document.Angle,
	}
}

func farSquareWords(facts *advise.FarSquare, severity document.Severity) findingWords {
	w := findingWords{
		headline: document.Say("The link is ", off(facts.Miss).Named("far_square.off", ""), " off square to the knuckle's arm"),
		of:       leftRight, unit: document.Angle,
	}
	if severity == document.TooClose && clearlyOff(facts.Miss) {
		w.headline = document.Say("Squaring link and knuckle's arm, ", off(facts.Miss).Named("far_square.off", ""), " off: no clear gain")
	}
	c := &facts.Comparison
	if c.Servo == 0 {
		if math.Abs(facts.Miss.Value) < worthSaying/2 {
			w.headline = document.Say("The link is square to the knuckle's arm")
		}
		return w
	}
	swung := document.Say(whole(facts.Swing), " ", ways[facts.Way])
	w.do = document.Say("swing the knuckle's arm ", swung)
	w.text = joined(eachWay(c), stated("Square horn and link again then"))
	switch severity {
	case document.TooClose:
		w.text = tooClose(c, severity)
	case document.Fine:
		w.text = stated("It may stay: the arm swung ", swung, " leaves ", size(c.After.Value), " between left and right, ", size(c.Before.Value), " now")
	}
	return w
}

// ways are where the end of an arm goes.
var ways = map[advise.Way]string{advise.Forward: "forward", advise.Back: "back", advise.Inward: "inward", advise.Outward: "outward"}

func wantedLockWords(facts *advise.WantedLock) findingWords {
	return findingWords{
		headline: document.Say("The wanted lock of ", size(facts.Wanted), " is reached both ways"),
		text:     stated("The first stop, ", facts.First.Words, document.FileKey(facts.First.Key), ", is at ", off(facts.Inner)),
	}
}

func lockWords(facts *advise.Lock, kind advise.Kind) findingWords {
	side := sideNames[facts.End.Side]
	w := findingWords{
		headline: document.Say("Lock to the ", side, " ends at ", off(facts.End.Inner)),
		text:     stated(document.Capital(facts.End.Governs), " ends it"),
		of:       "lock to the " + side, unit: document.Angle,
	}
	if facts.Kept {
		w.text = joined(w.text, stated("The other side is kept equal to it"))
	}
	if kind == advise.Unsure {
		w.headline = document.Say("Two stops end the lock to the ", side)
		w.text = stated(document.Capital(facts.End.Governs), " comes first, by ", off(facts.Apart), " of servo; then ", facts.Next)
		return w
	}
	step := document.Say("a stop ", whole(facts.Step), " further out")
	w.do = document.Say("set the stop ", whole(facts.Step), " further out")
	if facts.Hole > 0 {
		step = document.Say("the ", document.F(facts.Hole, document.Length), " hole")
		w.do = document.Say("use the horn's ", document.F(facts.Hole, document.Length), " hole")
	}
	switch {
	case facts.Tried == advise.NoHole:
		w.text = joined(w.text, stated("The horn has no longer hole in the file", document.FileKey("horn.holes")))
	case facts.Tried == advise.AtMost:
		w.text = joined(w.text, stated("It is as far out as it can be"))
	case facts.Tried == advise.NoStop:
		w.text = joined(w.text, stated("There is no stop to move"))
	case kind != advise.Do:
		w.text = joined(w.text, stated("With ", step, " nothing is gained: ", facts.Governs, " ends it then"))
	case facts.Governs != facts.End.Governs:
		w.text = joined(w.text, stated("With ", step, ", ", facts.Governs, " ends it"))
	}
	return w
}

func evennessWords(p *setup.Plan, facts *advise.Evenness, kind advise.Kind) findingWords {
	then := document.FU(evenThen(p).Lock, facts.Uncertain, document.Angle).Named("even.then", "")
	w := findingWords{
		headline: document.Say("Left and right differ by ", then, " at part stick"),
		of:       "difference", unit: document.Angle,
	}
	full := off(facts.Full)
	full.Uncertain = 0
	alike := stated("That is once set up; at full lock they are alike")
	if full.Shows(document.Reader{}) {
		alike = stated("That is once set up; at full lock they differ by ", full)
	}
	switch {
	case kind == advise.Do && facts.CurvePoints == 0:
		w.headline = document.Say("Left and right differ by ", document.FU(facts.Now, facts.Uncertain, document.Angle), " at equal stick")
		w.text = stated("That is as the radio is set")
		w.do = document.Say("carry out the set-up")
	case kind == advise.Do:
		w.text = alike
		w.do = document.Say("use a transmitter with a steering curve of ", facts.CurvePoints, " points")
	case kind == advise.Well:
		w.headline = document.Say("Left and right differ by at most ", size(then.Value).Named("even.then", ""))
		w.text = alike
	default:
		w.text = alike
	}
	return w
}

func ackermannWords(facts *advise.Ackermann, kind advise.Kind) findingWords {
	where := " past"
	if facts.Excess.Value < 0 {
		where = " short of"
	}
	w := findingWords{
		headline: document.Say("Outer wheel ", off(facts.Excess).Named("ackermann.excess", ""), where, " Ackermann at full lock"),
		of:       "off Ackermann", unit: document.Angle,
	}
	if facts.Excess.Value > 0 {
		w.headline = document.Say("Outer wheel toed past Ackermann by ", off(facts.Excess).Named("ackermann.excess", ""), " at full lock")
	}
	switch kind {
	case advise.Do:
		w.do = document.Say("swing both tie arms ", size(facts.Swing), " ", ways[facts.Way])
		then := " then needs another length"
		if len(facts.Rods) > 1 {
			then = " then need other lengths"
		}
		w.text = stated(document.Capital(the(strings.Join(facts.Rods, " and the "))), then)
	case advise.Know:
		if len(facts.Rods) > 0 {
			w.text = stated("No swing of the tie arms up to ", whole(facts.Most), " mends it")
		}
	}
	return w
}

func measureAgainWords(facts *advise.MeasureAgain, f *advise.Finding) findingWords {
	known := size(facts.Uncertain).Named("repeat.uncertain", "")
	if f.Change == nil {
		return findingWords{
			headline: document.Say("Left against right is good to ± ", known),
			text:     stated("Nothing is worth measuring again"),
		}
	}
	name := document.Say(facts.Measure.Words(), document.FileKey(facts.Measure.Path))
	return findingWords{
		headline: document.Say("Left against right is only good to ± ", known),
		do:       document.Say("measure the ", name, " again"),
		text:     stated("Measure it twice as well: it has ", part(facts.Part), " of the variance"),
		of:       "±", unit: document.Angle,
	}
}

func axleJointWords(facts *advise.AxleJoint) findingWords {
	return findingWords{
		headline: document.Say("The ", sideNames[facts.Wheel], " axle joint bends ", off(facts.Angle), " at full lock"),
		text:     stated("Steered ", sideNames[facts.Lock], ", its wheel's speed changes twice a turn"),
		do:       document.Say("if the wheel hops, end the lock ", whole(facts.Back), " sooner"),
		of:       "change of speed", unit: document.Part,
	}
}

func bumpSteerWords(facts *advise.BumpSteer, kind advise.Kind) findingWords {
	most := off(facts.Most).Named("travel.bump.most", "")
	if facts.OnAxle {
		return findingWords{
			headline: document.Say("The steering rides on the axle: no bump steer"),
			text:     stated("The axle itself yaws by up to ", most, " over the suspension travel"),
		}
	}
	w := findingWords{
		headline: document.Say("Bump steer: up to ", most, " over the suspension travel"),
		of:       "bump steer", unit: document.Angle,
	}
	switch {
	case facts.Better == nil && kind == advise.Know:
		w.text = stated("No end of a rod within ", document.F(facts.Farthest, document.Length).To(0), " steers less")
	case facts.Better == nil:
	case kind == advise.Unsure:
		w.text = stated("Another place of a ball gains less than its ±")
	default:
		w.do = moveWords(facts.Better)
		w.text = stated("The rods then need the lengths that keep the wheels straight")
	}
	return w
}

func panhardWords(facts *advise.Panhard, kind advise.Kind) findingWords {
	w := findingWords{
		headline: document.Say("Drag link and ", facts.Link.Name, " are ", off(facts.FrontAngle).Named("travel.panhard.angle", ""), " off parallel"),
		text: stated("They are ", document.F(facts.Drag.Length, document.Length).Named("travel.panhard.drag", ""), " and ",
			document.F(facts.Link.Length, document.Length).Named("travel.panhard.link", ""), " long"),
	}
	if kind == advise.Know {
		w.text = joined(w.text, stated("Parallel and alike in length they steer least"))
	}
	return w
}

func bindsWords(facts *advise.Binds) findingWords {
	where := standing(facts.Travel, facts.Bump, facts.Droop)
	if facts.Limit.Unit == steer.Millimetre {
		return findingWords{
			headline: document.Say("Parts come ", document.F(facts.Over, document.Length).Shown().Named("travel.binds.over", ""), " too close, even straight ahead"),
			text:     stated(document.Capital(facts.Limit.Words), document.FileKey(facts.Limit.Key), ", ", where),
		}
	}
	return findingWords{
		headline: document.Say(document.Capital(facts.Limit.Words), meets(facts.Limit.Key), ", even straight ahead"),
		text: stated("It is ", document.F(facts.Over, document.Angle).Shown().Named("travel.binds.over", ""), " past its limit of ",
			document.F(facts.Limit.Most, document.Angle), document.FileKey(facts.Limit.Key), " ", where),
	}
}

// meets says that a limit is met, by its key.
func meets(key string) string {
	switch {
	case isRodEnd(key), strings.HasSuffix(key, ".max_angle"):
		return " binds"
	default:
		return " is met"
	}
}

func travelLockWords(facts *advise.TravelLock) findingWords {
	return findingWords{
		headline: document.Say(document.Capital(at(cornerWords[facts.Corner])), " the lock is only ", size(facts.Lock).Named("travel.lock.there", ""), " ", sideNames[facts.Side]),
		text: stated(document.Capital(facts.Stop.Words), document.FileKey(facts.Stop.Key), meets(facts.Stop.Key),
			" there; at ride height it goes to ", size(facts.Ride)),
	}
}

// standingAt says how high the wheels are.
func standingAt(t steer.WheelTravel) document.Sentence {
	mm := func(v float64) document.Figure { return document.F(v, document.Length).Signed(document.Height) }
	if t.Left == t.Right {
		return document.Say("with both wheels ", mm(t.Left))
	}
	return document.Say("with left ", mm(t.Left), " and right ", mm(t.Right))
}
