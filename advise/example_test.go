package advise_test

import (
	"bytes"
	"fmt"

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
		list, _, err := advise.Of(r)
		if err != nil {
			fmt.Println(err)
			return
		}
		for _, p := range list[:3] {
			fmt.Printf("%s, %v: %s\n", p.Key, p.Kind, p.Sentence)
		}
	}
	// Output:
	// evener, do: The horn 14.4° counter-clockwise of where it is steers most evenly: at 44.0° of servo either way left and right then differ by 1.3°, where they differ by 9.3° now and by 5.5° with horn and link square.
	// even, do: At equal stick left and right differ by up to 9.6° ± 0.8° as the radio is set; set up as evenlock setup says, by up to 1.9°, and by 0.0° at full lock.
	// ackermann, do: At full lock the outer wheel is turned 1.3° ± 0.4° further than Ackermann asks; the ends of both tie arms swung 3.5° inward would leave 0.0°, at the same lock.
}
