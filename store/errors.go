package store

import (
	"errors"
	"fmt"
)

// Code tells the kinds of failure apart, for programs. The words are part of
// the JSON that a server sends and do not change.
type Code string

// The codes. Those from Forbidden to TooMany arise only where a store is served
// to other programs.
const (
	// Invalid: what was asked cannot be done as it was asked.
	Invalid Code = "invalid"
	// NotFound: no such rig, revision or note is kept.
	NotFound Code = "not-found"
	// Conflict: somebody else saved since.
	Conflict Code = "conflict"
	// Deleted: the rig was put aside and must be brought back first.
	Deleted Code = "deleted"
	// TooLarge: more than is taken at once.
	TooLarge Code = "too-large"
	// Full: there is no room left where rigs are kept.
	Full Code = "full"
	// Busy: another program holds what is kept for too long.
	Busy Code = "busy"
	// Newer: a newer evenlock wrote it.
	Newer Code = "newer"
	// Damaged: what was kept can no longer be read.
	Damaged Code = "damaged"
	// Unavailable: the place where rigs are kept cannot be opened or written to.
	Unavailable Code = "unavailable"
	// Forbidden: the one who asks may not.
	Forbidden Code = "forbidden"
	// WrongType: the content is of another type than is taken there.
	WrongType Code = "wrong-type"
	// TooMany: too many requests; wait.
	TooMany Code = "too-many"
	// Internal: a fault in evenlock itself.
	Internal Code = "internal"
)

// outcomes is the one mapping from a code to what the outside is told. The exit
// codes above 64 are those of BSD's sysexits.
var outcomes = map[Code]struct{ status, exit int }{
	Invalid:     {400, 65},
	NotFound:    {404, 66},
	Conflict:    {409, 75},
	Deleted:     {409, 66},
	TooLarge:    {413, 65},
	Full:        {507, 73},
	Busy:        {503, 75},
	Newer:       {500, 65},
	Damaged:     {500, 65},
	Unavailable: {503, 69},
	Forbidden:   {403, 77},
	WrongType:   {415, 65},
	TooMany:     {429, 75},
	Internal:    {500, 70},
}

// Status returns the HTTP status for the code.
func (c Code) Status() int {
	if o, ok := outcomes[c]; ok {
		return o.status
	}
	return outcomes[Internal].status
}

// Exit returns the exit code of a command that fails with the code.
func (c Code) Exit() int {
	if o, ok := outcomes[c]; ok {
		return o.exit
	}
	return outcomes[Internal].exit
}

// Error is a failure told to a person: what happened and what can be done.
type Error struct {
	Code Code `json:"code"`
	// Message says what happened, as a sentence.
	Message string `json:"message"`
	// Remedy says what to do, as a sentence; it may be empty.
	Remedy string `json:"remedy,omitempty"`
	// Err is what lies beneath, for a log. It is not shown to other devices.
	Err error `json:"-"`
}

// Error returns the message, the remedy and what lies beneath.
func (e *Error) Error() string {
	s := e.Message
	if e.Remedy != "" {
		s += " " + e.Remedy
	}
	if e.Err != nil {
		s += fmt.Sprintf(" (%v)", e.Err)
	}
	return s
}

// Unwrap returns what lies beneath.
func (e *Error) Unwrap() error { return e.Err }

// ConflictError says that a save was refused because another one came first.
// Nothing is lost: what was to be saved is still in the caller's hands, and
// Newer is kept.
type ConflictError struct {
	// Newer is the current revision, with its text.
	Newer Revision
}

// Error says who saved and when.
func (e *ConflictError) Error() string { return e.Told().Error() }

// Told returns the failure as an [Error].
func (e *ConflictError) Told() *Error {
	by := ""
	if e.Newer.By != "" {
		by = fmt.Sprintf(" (from: %s)", e.Newer.By)
	}
	return &Error{
		Code:    Conflict,
		Message: fmt.Sprintf("Revision %d was saved in the meantime%s.", e.Newer.Number, by),
		Remedy:  "Look at both, then save yours on top of it, keep yours as a new rig, or take the newer one.",
	}
}

// Tell returns the failure as an [*Error] for a person. It never returns nil: an
// error that this package does not know is Internal and its text stays beneath.
func Tell(err error) *Error {
	if conflict, ok := errors.AsType[*ConflictError](err); ok {
		return conflict.Told()
	}
	if told, ok := errors.AsType[*Error](err); ok {
		return told
	}
	return &Error{
		Code:    Internal,
		Message: "Something went wrong inside evenlock.",
		Remedy:  "What was saved before is still kept. Try again; if it stays so, report it.",
		Err:     err,
	}
}

// CodeOf returns the code of an error, and the empty code for nil.
func CodeOf(err error) Code {
	if err == nil {
		return ""
	}
	return Tell(err).Code
}

// NoRig returns the error for a rig that is not kept.
func NoRig(id string) error {
	return &Error{
		Code: NotFound, Message: fmt.Sprintf("No rig %.40q is kept here.", id),
		Remedy: "It may have been removed for good; a backup may still have it.",
	}
}

// NoRevision returns the error for a revision that is not kept.
func NoRevision(number int) error {
	return &Error{Code: NotFound, Message: fmt.Sprintf("The rig has no revision %d.", number)}
}

// SaveToDeleted returns the error for a save to a deleted rig.
func SaveToDeleted(name string) error {
	return &Error{
		Code: Deleted, Message: fmt.Sprintf("%q was deleted.", name),
		Remedy: "Bring it back first.",
	}
}

// PurgeOfKept returns the error for a purge of a rig that was not deleted.
func PurgeOfKept(name string) error {
	return invalid(fmt.Sprintf("%q is not deleted.", name), "Delete it first; then it can be removed for good.")
}

// NoNote returns the error for striking out a note that the rig does not have.
func NoNote() error {
	return &Error{Code: NotFound, Message: "The rig has no such note to strike out."}
}
