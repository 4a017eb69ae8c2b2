package store

import (
	"crypto/rand"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// What is taken at most, in bytes of UTF-8.
const (
	MaxText    = 1 << 20
	MaxName    = 200
	MaxNote    = 16 << 10
	MaxBy      = 100
	MaxStep    = 100
	MaxKey     = 100
	MaxSetting = 64 << 10
)

// MaxNumber is the greatest number that a revision may have.
const MaxNumber = 1 << 30

const idLength = 26

// NewID returns a fresh ID for a rig, a revision or an entry: 130 random bits as
// 26 letters a to z and digits 2 to 7.
func NewID() string { return strings.ToLower(rand.Text()) }

// ValidID reports whether s could have come from [NewID].
func ValidID(s string) bool {
	if len(s) != idLength {
		return false
	}
	for _, c := range s {
		if (c < 'a' || c > 'z') && (c < '2' || c > '7') {
			return false
		}
	}
	return true
}

// Check returns an [Invalid] or [TooLarge] error if the draft cannot be kept:
// name and text must be there, all must be UTF-8 without NUL and within the
// limits above, and name and by are one line each.
func (d Draft) Check() error {
	if strings.TrimSpace(d.Name) == "" {
		return invalid("The rig has no name.", "Give it one.")
	}
	if d.Text == "" {
		return invalid("There is nothing to save: the rig file is empty.", "")
	}
	return firstError(
		line("name", d.Name, MaxName), text("rig file", d.Text, MaxText),
		text("note", d.Note, MaxNote), line("name of who saves", d.By, MaxBy))
}

// Check returns an [Invalid] or [TooLarge] error if the entry cannot be kept:
// each kind needs its own fields and takes no others.
func (d EntryDraft) Check() error {
	var needs, other bool
	switch d.Kind {
	case KindNote:
		needs, other = strings.TrimSpace(d.Text) != "", d.Step != "" || d.Target != ""
	case KindDone, KindUndone:
		needs, other = d.Step != "", d.Target != ""
	case KindStrike:
		needs, other = ValidID(d.Target), d.Step != ""
	default:
		return invalid(fmt.Sprintf("A journal has no entries of the kind %.40q.", d.Kind), "")
	}
	if !needs || other {
		return invalid(fmt.Sprintf("The entry of the kind %q lacks what it needs or has what is not its own.", d.Kind), "")
	}
	return firstError(
		text("note", d.Text, MaxNote), line("step", d.Step, MaxStep), line("name of who writes", d.By, MaxBy))
}

// CheckSetting returns an [Invalid] or [TooLarge] error if a setting cannot be
// kept: its key is one line, its value UTF-8 without NUL.
func CheckSetting(key, value string) error {
	if key == "" {
		return invalid("A setting needs a name.", "")
	}
	return firstError(line("setting's name", key, MaxKey), text("setting", value, MaxSetting))
}

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

func text(what, s string, most int) error {
	if len(s) > most {
		return &Error{
			Code:    TooLarge,
			Message: fmt.Sprintf("The %s is %d bytes long; at most %d are kept.", what, len(s), most),
			Remedy:  "Shorten it.",
		}
	}
	if !utf8.ValidString(s) || strings.ContainsRune(s, 0) {
		return invalid(fmt.Sprintf("The %s is not plain text in UTF-8.", what), "Save it as UTF-8 text and try again.")
	}
	return nil
}

func line(what, s string, most int) error {
	if err := text(what, s, most); err != nil {
		return err
	}
	if strings.ContainsFunc(s, unicode.IsControl) {
		return invalid(fmt.Sprintf("The %s must be one line without control characters.", what), "")
	}
	return nil
}

func invalid(message, remedy string) error {
	return &Error{Code: Invalid, Message: message, Remedy: remedy}
}

// Slug returns the name with anything that could trouble a file system replaced
// by hyphens, and "rig" if nothing is left: part of a file name for a person.
func Slug(name string) string {
	var b strings.Builder
	gap := false
	for _, c := range strings.ToLower(name) {
		if !unicode.IsLetter(c) && !unicode.IsDigit(c) {
			gap = b.Len() > 0
			continue
		}
		if b.Len() > 60 {
			break
		}
		if gap {
			b.WriteByte('-')
			gap = false
		}
		b.WriteRune(c)
	}
	if b.Len() == 0 {
		return "rig"
	}
	return b.String()
}
