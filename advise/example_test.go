package advise_test

import (
	"bytes"
	"fmt"
	"math"

	"evenlock/advise"
	"evenlock/rig"
)

func ExampleOf() {
	for _, starter := range rig.Starters() {
		if starter.Name != "behind" {
			continue
		}
		r, err := rig.Read(bytes.NewReader(starter.Text), "truck.toml")
		if err != nil {
			fmt.Println(err)
			return
		}
		list, _, err := advise.Of(r, 1)
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, f := range list[:2] {
			fmt.Printf("%s, %v: %T, %.1f° → %.1f°\n", f.Key, f.Kind, f.Facts,
				f.Change.Before.Value*180/math.Pi, f.Change.After.Value*180/math.Pi)
		}
	}
	// Output:
	// even_place, do: *advise.EvenPlace, 9.3° → 1.3°
	// even, do: *advise.Evenness, 9.6° → 1.9°
}
