package report

import (
	"strings"

	"evenlock/report/document"
	"evenlock/steer"
)

// line is a line of a verdict that is neither good nor bad.
func line(parts ...any) document.Line { return document.Line{Sentence: document.Say(parts...)} }

// angle and length are figures of what is known to so much.
func angle(r steer.Result) document.Figure {
	return document.FU(r.Value, r.Uncertain, document.Angle)
}

func length(r steer.Result) document.Figure {
	return document.FU(r.Value, r.Uncertain, document.Length)
}

// span is a figure of a length on the floor.
func span(r steer.Result) document.Figure {
	return document.FU(r.Value, r.Uncertain, document.Span)
}

// part is a figure of a part of one, to whole percent.
func part(v float64) document.Figure { return document.F(v, document.Part).To(0) }

// asSentence begins words with a capital letter and ends them with a stop, as those of an error do
// not.
func asSentence(words string) string {
	if words == "" || strings.HasSuffix(words, ".") || strings.HasSuffix(words, "?") {
		return document.Capital(words)
	}
	return document.Capital(words) + "."
}

// sideNames are the sides, the left one first.
var sideNames = [2]string{"left", "right"}

// Cautions, common practice; makers' instructions and local rules come first. The long one stands
// once, where the servo is powered, and Power for it elsewhere.
const (
	// BeforePower is for the step that powers the servo.
	BeforePower = "Wheels off the ground, and the motor unplugged or its pinion out, before the servo is powered. Keep fingers out of the links. Do not hold the servo against a stop: it stalls, heats, and can cut the receiver out. Follow the makers' instructions for servo, radio and battery."
	// Power is the same in one line.
	Power = "before you power the servo, lift the wheels and unplug the motor."
	// Measuring is for a caliper among parts that a motor could move.
	Measuring = "Measure with the battery out, and follow its maker's instructions."
	// HornOff is for taking the horn off its spline.
	HornOff = "Switch the servo's power off before the horn comes off, and put the screw back."
	// Thread is for making a rod longer.
	Thread = "Leave enough thread in both rod ends, as their maker says."
	// OnTheRoad is for driving.
	OnTheRoad = "Drive away from people and roads. Follow local rules and the field's."
	// Drilling is for another hole, or cutting for clearance.
	Drilling = "Drilling or filing weakens what it goes through. Wear eye protection; it is at your own risk."
	// Springs is for taking a suspension apart.
	Springs = "Springs and dampers push back. Hold the vehicle firmly before you take them off."
	// TwoServos is for a second servo on one supply.
	TwoServos = "Two servos draw on one supply: stalled together they draw both their full currents."
	// ForParts is for forces and torques.
	ForParts = "These figures are for choosing parts, not for trusting fingers to."
)

// about begins a document about a model's axle.
func about(m *steer.Model, kind, title string, verdict ...document.Line) *document.Document {
	d := &document.Document{Kind: kind, Title: title, Rig: m.Rig.Name, Verdict: verdict}
	if m.Rig.Of(2) != nil {
		d.Axle = axleNames[m.Axle.Number()-1]
		if m.Axle.Ahead() < 0 {
			d.Sides = "left is where its wheels point, which turns the rig right"
		}
	}
	return d
}

// ofOther puts words on the other axle of a front one in those of the model's.
func ofOther(m *steer.Model, words string) string {
	if m.Axle.Ahead() < 0 {
		return strings.ReplaceAll(words, "rear axle", "front axle")
	}
	return words
}

// capital begins a sentence with a capital letter.
func capital(s document.Sentence) document.Sentence {
	if len(s) > 0 {
		if words, ok := s[0].(string); ok {
			return document.Say(document.Capital(words), s[1:])
		}
	}
	return s
}

// small begins a sentence without a capital letter, to stand behind a severity and its colon.
func small(s document.Sentence) document.Sentence {
	if len(s) > 0 {
		if words, ok := s[0].(string); ok && words != "" {
			return document.Say(strings.ToLower(words[:1])+words[1:], s[1:])
		}
	}
	return s
}

// bothSides gives one name to what ends the lock to each side where it is the same thing of either:
// "the knuckle's outward stop".
func bothSides(left, right string) (words string, ok bool) {
	if left == right {
		return left, true
	}
	words = strings.Replace(left, "left ", "", 1)
	return words, words == strings.Replace(right, "right ", "", 1)
}

// threeLines leaves out the last lines of a verdict as far as it would take more than three of 80
// columns.
func threeLines(all []document.Line) []document.Line {
	const most = 3
	for _, r := range []document.Reader{{}, {Length: document.Inches, Torque: document.OunceInches, Pulse: document.Microseconds}} {
		lines := 0
		for n := range all {
			if lines += all[n].Lines(r); lines > most {
				all = all[:n]
				break
			}
		}
	}
	return all
}
