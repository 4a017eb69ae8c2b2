package report

import (
	"encoding/csv"
	"io"

	"evenlock/travel"
)

// TravelCSV writes the curves, a row for each place of each motion. The header names the units.
func TravelCSV(w io.Writer, d *travel.Analysis) error {
	out := csv.NewWriter(w)
	head := []string{
		"motion", "left rise (mm)", "right rise (mm)", "roll (deg)", "steer left (deg)", "steer left ± (deg)", "steer right (deg)", "steer right ± (deg)",
		"steer left rate (deg/mm)", "steer right rate (deg/mm)", "knuckle left (deg)", "knuckle right (deg)", "toe-in (deg)", "camber left (deg)", "camber right (deg)",
		"axle forward (mm)", "axle side (mm)", "axle yaw (deg)", "axle pitch (deg)",
	}
	if err := out.Write(head); err != nil {
		return err
	}
	for _, c := range d.Sweeps {
		for i := range c.Samples {
			r := &c.Samples[i]
			line := []string{c.Motion.Key(), format(r.Travel.Left), format(r.Travel.Right)}
			for _, v := range []float64{
				r.Roll, r.Steer[0], r.SteerUncertain[0], r.Steer[1], r.SteerUncertain[1], r.Rate.Steer[0], r.Rate.Steer[1],
				r.Knuckle[0], r.Knuckle[1], r.Toe(), r.Camber[0], r.Camber[1],
			} {
				line = append(line, format(v/degree))
			}
			axle := []string{"", "", "", ""}
			if k := r.Carried; d.Model.Axle.Solid {
				axle = []string{format(k.Forward), format(k.Side), format(k.Yaw / degree), format(k.Pitch / degree)}
			}
			if err := out.Write(append(line, axle...)); err != nil {
				return err
			}
		}
	}
	out.Flush()
	return out.Error()
}
