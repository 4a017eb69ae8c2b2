package engine_test

import (
	"encoding/json"
	"testing"
)

func TestEveryDocumentCanBeHadOfEveryStarter(t *testing.T) {
	for _, name := range names() {
		t.Run(name, func(t *testing.T) {
			s := open(t, name)
			if _, err := s.Results(); err != nil {
				t.Fatal(err)
			}
			if _, err := s.Curves(21); err != nil {
				t.Fatal(err)
			}
			measurements, err := s.Measurements()
			if err != nil {
				t.Fatal(err)
			}
			for what, d := range map[string]any{
				"measurements": measurements, "radio settings": s.RadioSettings(), "scene": s.Scene(), "state": s.State(),
			} {
				text, err := json.Marshal(d)
				if err != nil {
					t.Errorf("%s: %v", what, err)
				}
				if testing.Verbose() && what != "scene" && what != "state" {
					t.Logf("%s: %s", what, text)
				}
			}
		})
	}
}
