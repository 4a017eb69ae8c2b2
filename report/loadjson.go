package report

import (
	"io"

	"evenlock/load"
	"evenlock/steer"
)

func torqueFigure(v float64) Figure { return plain(v/load.NewtonMetre, 0, "N·m") }

func newtonFigure(v float64) Figure { return plain(v, 0, "N") }

func angleFigure(v float64) Figure { return figure(v, 0, steer.Radian) }

// sides is a value for each side, or for the motion to each side.
type sides[T any] struct {
	Left  T `json:"left"`
	Right T `json:"right"`
}

func sidesOf[A, T any](v [2]A, f func(A) T) sides[T] {
	return sides[T]{f(v[load.ToLeft]), f(v[load.ToRight])}
}

type tyreDoc struct {
	Weight Figure `json:"weight"`
	Offset Figure `json:"offset"`
	Scrub  Figure `json:"scrub_moment"`
	Patch  Figure `json:"patch_moment"`
}

type placeDoc struct {
	Servo Figure `json:"servo"`
	Inner Figure `json:"inner_wheel"`
}

func placeOf(p load.Onset) *placeDoc {
	if !p.Happens {
		return nil
	}
	return &placeDoc{angleFigure(p.Servo), angleFigure(p.Inner)}
}

type loadRowDoc struct {
	Servo        Figure         `json:"servo"`
	Left         Figure         `json:"road_left"`
	Right        Figure         `json:"road_right"`
	KingpinLeft  sides[Figure]  `json:"kingpin_left"`
	KingpinRight sides[Figure]  `json:"kingpin_right"`
	Standing     sides[Figure]  `json:"standing"`
	Rock         sides[Figure]  `json:"rock_adds"`
	RockAt       sides[string]  `json:"rock_at"`
	Margin       Figure         `json:"margin"`
	Rods         []rodRangeItem `json:"rods"`
}

type rodRangeItem struct {
	Key   string `json:"key"`
	Least Figure `json:"least_tension"`
	Most  Figure `json:"greatest_tension"`
}

type peakDoc struct {
	Size  Figure `json:"size"`
	Servo Figure `json:"servo"`
	By    string `json:"by"`
}

func peakOf(p load.Peak, size Figure) peakDoc {
	return peakDoc{size, angleFigure(p.Servo), p.Cause.String()}
}

func forcePeak(p load.Peak) peakDoc { return peakOf(p, newtonFigure(p.Size)) }

type rodLoadDoc struct {
	Key      string   `json:"key"`
	Words    string   `json:"words"`
	Pull     peakDoc  `json:"pull"`
	Push     peakDoc  `json:"push"`
	Material string   `json:"material,omitempty"`
	Root     *Figure  `json:"thread_root,omitempty"`
	Buckling *Figure  `json:"buckling,omitempty"`
	Pulled   *rodUsed `json:"under_pull,omitempty"`
	Pushed   *rodUsed `json:"under_push,omitempty"`
}

type rodUsed struct {
	Axial        Figure `json:"axial_stress"`
	Bending      Figure `json:"bending_stress"`
	SafetyFactor Figure `json:"reserve"`
}

func usedOf(b load.RodStrength) *rodUsed {
	return &rodUsed{plain(b.Axial, 0, "N/mm²"), plain(b.Bending, 0, "N/mm²"), plain(b.SafetyFactor, 0, "1")}
}

type ballDoc struct {
	Words  string  `json:"words"`
	Force  peakDoc `json:"force"`
	Along  Figure  `json:"along_stud"`
	Across Figure  `json:"across_stud"`
}

type shaftDoc struct {
	Side    peakDoc `json:"side"`
	Axial   peakDoc `json:"axial"`
	Bending peakDoc `json:"bending"`
	Outer   *Figure `json:"outer_bearing,omitempty"`
	Inner   *Figure `json:"inner_bearing,omitempty"`
}

type saverDoc struct {
	Preload  Figure           `json:"preload"`
	Force    Figure           `json:"force_at_ball"`
	Standing sides[*placeDoc] `json:"gives_way_standing"`
	Rock     sides[*placeDoc] `json:"gives_way_with_rock"`
	Lost     sides[Figure]    `json:"lost_at_lock"`
}

type kingpinDoc struct {
	Across  peakDoc `json:"across"`
	Along   peakDoc `json:"along"`
	Bending peakDoc `json:"bending"`
}

type holeDoc struct {
	Hole    Figure         `json:"hole"`
	InUse   bool           `json:"in_use"`
	Full    bool           `json:"comes_to_full_lock"`
	Reached bool           `json:"reached"`
	Servo   *sides[Figure] `json:"servo,omitempty"`
	Torque  *Figure        `json:"hardest,omitempty"`
	Margin  *Figure        `json:"margin,omitempty"`
	Time    *Figure        `json:"lock_to_lock,omitempty"`
}

type loadDoc struct {
	Rig         string            `json:"rig"`
	Definitions map[string]string `json:"definitions"`
	Cautions    []string          `json:"cautions"`
	Tyres       sides[tyreDoc]    `json:"tyres"`
	Gives       Figure            `json:"servo_gives"`
	Voltage     Figure            `json:"stalled_voltage"`
	Current     Figure            `json:"stalled_current"`
	Rows        []loadRowDoc      `json:"rows"`
	Standing    sides[*placeDoc]  `json:"stalls_standing"`
	Rock        sides[*placeDoc]  `json:"stalls_with_rock"`
	Unloaded    sides[Figure]     `json:"lock_to_lock_unloaded"`
	Loaded      sides[Figure]     `json:"lock_to_lock_standing"`
	HeldTorque  Figure            `json:"held_torque"`
	HeldHeat    Figure            `json:"held_heat"`
	Rods        []rodLoadDoc      `json:"rods"`
	Balls       []ballDoc         `json:"balls"`
	Shaft       shaftDoc          `json:"shaft"`
	Kingpins    sides[kingpinDoc] `json:"kingpins"`
	Roll        *peakDoc          `json:"tie_rod_roll,omitempty"`
	Saver       *saverDoc         `json:"servo_saver,omitempty"`
	Inner       Figure            `json:"full_lock"`
	HornLock    Figure            `json:"horn_lock"`
	Horn        []holeDoc         `json:"horn"`
}

// loadDefinitions say what the figures of the loads mean.
var loadDefinitions = map[string]string{
	"servo":            Definitions["servo"],
	"scrub_moment":     "µ W √(d² + (a/3)²), which all torques go by",
	"patch_moment":     "µ W √(b²/8 + d²), for comparison",
	"kingpin_left":     "moment about the kingpin of a standing tyre while the steering moves to each side, positive to the left",
	"standing":         "torque at the servo against its motion to each side, on standing tyres",
	"rock_adds":        "what a rock's edge adds at the edge of a tyre where it is worst",
	"margin":           "what the servo gives over what it is asked for, the harder way",
	"stalls_standing":  "where the servo gives up on the way out from straight to each side; null where it does not",
	"lock_to_lock":     "null where the servo stalls",
	"greatest_tension": "of standing tyres, rock, and one wheel jammed with the servo at its full torque; negative presses",
	"full_lock":        "of the inner wheel, that both sides come to",
	"horn_lock":        "of the inner wheel, at which the holes of the horn are compared",
	"reserve":          "how many times the force the rod bears before it buckles or yields",
}

// LoadJSON writes what the steering bears, with units.
func LoadJSON(w io.Writer, l *load.Analysis) error {
	seconds := func(v float64) Figure {
		if v == 0 {
			return Figure{Unit: "s"}
		}
		return plain(v, 0, "s")
	}
	doc := loadDoc{
		Rig: l.Model.Rig.Name, Definitions: loadDefinitions, Cautions: Cautions,
		Tyres: sidesOf(l.Tyres, func(t load.Tyre) tyreDoc {
			return tyreDoc{newtonFigure(t.Weight), plain(t.Offset, 0, "mm"), torqueFigure(t.Scrub), torqueFigure(t.Patch)}
		}),
		Gives: torqueFigure(l.Gives), Voltage: plain(l.Stalled.Voltage, 0, "V"), Current: Figure{Unit: "A"},
		Standing: sidesOf(l.Standing, placeOf), Rock: sidesOf(l.Rock, placeOf),
		Unloaded: sidesOf(l.Unloaded, seconds), Loaded: sidesOf(l.Loaded, seconds),
		HeldTorque: torqueFigure(l.HeldTorque), HeldHeat: Figure{Unit: "W"},
		Shaft: shaftDoc{forcePeak(l.Shaft.Side), forcePeak(l.Shaft.Axial), peakOf(l.Shaft.Bending, torqueFigure(l.Shaft.Bending.Size)), nil, nil},
		Inner: angleFigure(l.Inner), HornLock: angleFigure(l.HornLock),
	}
	doc.Kingpins = sidesOf(l.Kingpins, func(k load.KingpinPeak) kingpinDoc {
		return kingpinDoc{forcePeak(k.Across), forcePeak(k.Along), peakOf(k.Bending, torqueFigure(k.Bending.Size))}
	})
	if l.Roll.Size > 0 {
		roll := peakOf(l.Roll, torqueFigure(l.Roll.Size))
		doc.Roll = &roll
	}
	if l.Stalled.Current > 0 {
		doc.Current = plain(l.Stalled.Current, 0, "A")
	}
	if l.HeldKnown {
		doc.HeldHeat = plain(l.Held.Heat, 0, "W")
	}
	if l.Shaft.Span > 0 {
		outer, inner := newtonFigure(l.Shaft.Outer), newtonFigure(l.Shaft.Inner)
		doc.Shaft.Outer, doc.Shaft.Inner = &outer, &inner
	}
	for i := range l.Samples {
		doc.Rows = append(doc.Rows, loadRowOf(l, &l.Samples[i]))
	}
	for i := range l.Rods {
		doc.Rods = append(doc.Rods, rodLoadOf(&l.Rods[i]))
	}
	for _, b := range l.Balls {
		doc.Balls = append(doc.Balls, ballDoc{b.Load.Words, forcePeak(b.Peak), newtonFigure(b.Load.Along), newtonFigure(b.Load.Across)})
	}
	if s := l.Saver; s != nil {
		doc.Saver = &saverDoc{torqueFigure(s.Preload), newtonFigure(s.Force), sidesOf(s.Standing, placeOf), sidesOf(s.Rock, placeOf), sidesOf(s.Lost, angleFigure)}
	}
	for _, h := range l.Horn {
		one := holeDoc{Hole: plain(h.Hole, 0, "mm"), InUse: h.Hole == l.HoleInUse, Full: h.Full, Reached: h.Reached}
		if h.Reached {
			servo, hardest, margin, time := sides[Figure]{angleFigure(h.Left), angleFigure(h.Right)}, torqueFigure(h.Torque), plain(h.SafetyFactor, 0, "1"), seconds(h.Seconds)
			one.Servo, one.Torque, one.Margin, one.Time = &servo, &hardest, &margin, &time
		}
		doc.Horn = append(doc.Horn, one)
	}
	return writeJSON(w, doc)
}

func loadRowOf(l *load.Analysis, r *load.Sample) loadRowDoc {
	one := loadRowDoc{
		Servo: angleFigure(r.Servo), Left: angleFigure(r.Left), Right: angleFigure(r.Right),
		KingpinLeft: sidesOf(r.KingpinLeft, torqueFigure), KingpinRight: sidesOf(r.KingpinRight, torqueFigure),
		Standing: sidesOf(r.Standing, torqueFigure), Rock: sidesOf(r.Rock, torqueFigure),
		RockAt: sidesOf(r.RockOn, load.RockPlace.String), Margin: plain(r.SafetyFactor, 0, "1"),
	}
	for i, t := range r.Rods {
		one.Rods = append(one.Rods, rodRangeItem{l.Rods[i].Key, newtonFigure(t[0]), newtonFigure(t[1])})
	}
	return one
}

func rodLoadOf(r *load.RodLoad) rodLoadDoc {
	one := rodLoadDoc{Key: r.Key, Words: r.Words, Pull: forcePeak(r.Pull), Push: forcePeak(r.Push)}
	if r.Rod == nil {
		return one
	}
	buckling := newtonFigure(r.PushStrength.Buckling)
	one.Material, one.Buckling, one.Pulled, one.Pushed = r.Rod.Material.Name, &buckling, usedOf(r.PullStrength), usedOf(r.PushStrength)
	if r.Rod.Root > 0 {
		root := plain(r.Rod.Root, 0, "mm")
		one.Root = &root
	}
	return one
}
