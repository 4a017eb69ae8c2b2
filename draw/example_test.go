package draw_test

import (
	"bytes"
	"fmt"
	"strings"

	"evenlock/draw"
	"evenlock/rig"
	"evenlock/steer"
)

func ExampleSVG() {
	r, err := rig.Read(bytes.NewReader(rig.Starters()[0].Text), "")
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := steer.New(r)
	if err != nil {
		fmt.Println(err)
		return
	}
	scene, state := draw.New(m, nil), m.NewState()
	values := state.Values()
	numbers := make([]float64, scene.Length)
	scene.Fill(numbers, draw.Posed{Model: m, State: state}, &values, nil, draw.Limit{})
	var file strings.Builder
	if err := draw.SVG(&file, scene, numbers, draw.Options{Title: r.Name, Views: []draw.View{draw.Above}}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(strings.Contains(file.String(), "<title>left tyre</title>"))
	// Output: true
}
