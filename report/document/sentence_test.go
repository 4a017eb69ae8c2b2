package document_test

import (
	"testing"

	"evenlock/report/document"
)

// Keys that follow one another are one list in brackets; the page shows none.
func TestKeysThatFollowOneAnotherAreOneList(t *testing.T) {
	s := document.Say("It needs more", document.FileKey("a.b"), document.FileKey(""), document.FileKey("c"), "; the arm", document.FileKey("d"), document.FileKey(""), ".")
	if got, want := s.TextToWrap(document.Reader{}), "It needs more (a.b, c); the arm (d)."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := s.Text(document.Reader{}), "It needs more; the arm."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := s.Keys(); len(got) != 3 {
		t.Errorf("keys %q", got)
	}
}
