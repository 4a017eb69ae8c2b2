package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"time"

	"evenlock/store"
)

// heartbeat is how often something is sent on a quiet stream, so that a
// connection that is gone is noticed.
const heartbeat = 20 * time.Second

// events streams changes until the client goes or the server shuts down.
func (s *Server) events(w http.ResponseWriter, r *http.Request) error {
	select {
	case s.streams <- struct{}{}:
		defer func() { <-s.streams }()
	default:
		return &store.Error{Code: store.TooMany, Message: "Too many tabs are open.", Remedy: "Close some."}
	}
	changes, err := s.Store.Watch(r.Context())
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/event-stream")
	stream := http.NewResponseController(w)
	send := func(format string, args ...any) error {
		if err := stream.SetWriteDeadline(time.Now().Add(s.limits.answer)); err != nil {
			return err
		}
		if _, err := fmt.Fprintf(w, format, args...); err != nil {
			return err
		}
		return stream.Flush()
	}
	// Without a time limit on reading: there is nothing more to read.
	if err := stream.SetReadDeadline(time.Time{}); err != nil {
		return err
	}
	err = send("event: ready\ndata: {}\n\n")
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for err == nil {
		select {
		case c, open := <-changes:
			if !open {
				return nil
			}
			var data []byte
			if data, err = json.Marshal(c); err == nil {
				err = send("event: change\ndata: %s\n\n", data)
			}
		case <-beat.C:
			err = send(": still here\n\n")
		case <-s.closing:
			return nil
		}
	}
	return broken(err)
}
