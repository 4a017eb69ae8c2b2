package document

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Sentence is words with their figures.
type Sentence []part

// part is a string, a Figure or a FileKey.
type part any

// FileKey is a key of the rig file that a text may name, in brackets, for who edits the file. The
// page leaves it out.
type FileKey string

// Say makes a sentence of strings, Figures, Sentences and FileKeys; what else it is given is
// formatted as by fmt.Sprint.
func Say(parts ...any) Sentence {
	var s Sentence
	for _, p := range parts {
		switch p := p.(type) {
		case Sentence:
			s = append(s, p...)
		case string, Figure, FileKey:
			s = append(s, p)
		default:
			s = append(s, fmt.Sprint(p))
		}
	}
	return s
}

// List joins sentences with commas and, before the last, a word: "a, b and c".
func List(word string, all ...Sentence) Sentence {
	var s Sentence
	for i, one := range all {
		switch {
		case i == 0:
		case i == len(all)-1:
			s = append(s, " "+word+" ")
		default:
			s = append(s, ", ")
		}
		s = append(s, one...)
	}
	return s
}

// Both says something of left and right: once, followed by alike, where both read the same.
func Both(left, right Sentence, alike string) Sentence {
	if left.Text(Reader{}) == right.Text(Reader{}) {
		return Say(left, alike)
	}
	return Say("left ", left, ", right ", right)
}

// Text writes the sentence for a reader, without the keys of the file.
func (s Sentence) Text(r Reader) string {
	return s.write(func(f Figure) string { return f.Text(r) }, func(string) string { return "" })
}

// TextToWrap writes the sentence for a text that is broken into lines: with the keys of the file in
// brackets, and with no-break spaces within figures, so that none is torn from its unit.
func (s Sentence) TextToWrap(r Reader) string {
	return s.write(func(f Figure) string { return Unbroken(f.Text(r)) }, func(keys string) string { return " (" + keys + ")" })
}

// Unbroken puts no-break spaces in place of spaces.
func Unbroken(text string) string { return strings.ReplaceAll(text, " ", "\u00a0") }

// write puts the parts together. Keys that follow one another are one list.
func (s Sentence) write(figure func(Figure) string, keys func(string) string) string {
	var b strings.Builder
	var together []string
	for i, p := range s {
		switch p := p.(type) {
		case string:
			b.WriteString(p)
		case Figure:
			b.WriteString(figure(p))
		case FileKey:
			if p != "" {
				together = append(together, string(p))
			}
			if i+1 < len(s) {
				if _, more := s[i+1].(FileKey); more {
					continue
				}
			}
			if together != nil {
				b.WriteString(keys(strings.Join(together, ", ")))
			}
			together = nil
		}
	}
	return b.String()
}

// Figures are those that stand in the sentence.
func (s Sentence) Figures() []Figure {
	var all []Figure
	for _, p := range s {
		if f, ok := p.(Figure); ok {
			all = append(all, f)
		}
	}
	return all
}

// Keys are the keys of the file that the sentence names.
func (s Sentence) Keys() []string {
	var all []string
	for _, p := range s {
		if k, ok := p.(FileKey); ok && k != "" {
			all = append(all, string(k))
		}
	}
	return all
}

// Capital begins a text with a capital letter.
func Capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 {
		return text
	}
	return string(unicode.ToUpper(first)) + text[size:]
}
