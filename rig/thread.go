package rig

import (
	"math"
	"regexp"
	"strconv"
)

// ThreadPitch gives the pitch in millimetres of an ISO 261 coarse thread by its
// name, such as "M3". Source: ISO 261, coarse series, from memory.
func ThreadPitch(name string) (mm float64, ok bool) {
	mm, ok = coarsePitch[name]
	return mm, ok
}

var coarsePitch = map[string]float64{
	"M1":   0.25,
	"M1.2": 0.25,
	"M1.4": 0.3,
	"M1.6": 0.35,
	"M1.8": 0.35,
	"M2":   0.4,
	"M2.5": 0.45,
	"M3":   0.5,
	"M3.5": 0.6,
	"M4":   0.7,
	"M5":   0.8,
	"M6":   1,
	"M8":   1.25,
	"M10":  1.5,
}

var metricThread = regexp.MustCompile(`^M(\d+(?:\.\d+)?)`)

// ThreadDiameter gives the nominal diameter in millimetres of a metric thread by its name, such as
// "M3" or "M3x0.35". Source: ISO 261, from memory.
func ThreadDiameter(name string) (mm float64, ok bool) {
	m := metricThread.FindStringSubmatch(name)
	if m == nil {
		return 0, false
	}
	mm, err := strconv.ParseFloat(m[1], 64)
	return mm, err == nil && mm > 0 && !math.IsInf(mm, 0)
}
