package draw_test

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"evenlock/draw"
	"evenlock/internal/rigtest"
)

// A file fits on A4 (210 × 297 mm) and on Letter (216 × 279), in colours that every viewer knows;
// its bar is 100 mm of the rig at the scale that it says, and each part's name is there once.
func TestFilesFitAPage(t *testing.T) {
	size := regexp.MustCompile(`^<svg [^>]* width="([\d.]+)mm" height="([\d.]+)mm" viewBox="0 0 ([\d.]+) ([\d.]+)"`)
	bar := regexp.MustCompile(`class="bar" d="M[\d.]+ [\d.]+v3m0 -1.5h([\d.]+)m`)
	view := regexp.MustCompile(`<svg class="view view-(?:above|behind|side)"[^>]* width="([\d.]+)"[^>]* viewBox="\S+ \S+ ([\d.]+) `)
	number := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, name := range rigtest.Names() {
		for _, views := range [][]draw.View{nil, {draw.Above}, {draw.Turn}} {
			s, numbers := filled(t, starter(t, name), 0, nil, draw.Limit{})
			var b bytes.Buffer
			if err := draw.SVG(&b, s, numbers, draw.Options{Views: views}); err != nil {
				t.Fatal(err)
			}
			text := b.String()
			what := fmt.Sprint(name, views)
			if strings.Contains(text, "var(") {
				t.Errorf("%s: a colour that not every viewer knows", what)
			}
			m := size.FindStringSubmatch(text)
			if len(m) != 5 || m[1] != m[3] || m[2] != m[4] || number(m[1]) > 200 || number(m[2]) > 269 {
				t.Fatalf("%s: the page is %q", what, m)
			}
			long := bar.FindStringSubmatch(text)
			if long == nil {
				t.Fatalf("%s has no bar", what)
			}
			// A view is as much smaller than what it shows as the bar is than 100 mm.
			for _, v := range view.FindAllStringSubmatch(text, -1) {
				if scale := number(v[1]) / number(v[2]); math.Abs(100*scale-number(long[1])) > 0.05 {
					t.Errorf("%s: the bar is %s mm at a scale of %g", what, long[1], scale)
				}
			}
			if len(views) == 1 && views[0] == draw.Turn {
				continue
			}
			for _, part := range []string{"drag link", "left tyre", "servo's horn"} {
				if n := len(regexp.MustCompile(`class="name"[^>]*>\d+ `+strings.ReplaceAll(part, "'", "&#39;")+`<`).FindAllString(text, -1)); n != 1 {
					t.Errorf("%s: the %s is named %d times", what, part, n)
				}
			}
		}
	}
}
