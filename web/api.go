package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"os"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"evenlock/store"
	"evenlock/store/backup"
)

const (
	// maxJSON leaves room for a rig file of store.MaxText bytes of which each
	// is escaped to six.
	maxJSON = 6*store.MaxText + 64<<10
	// maxUpload is the size of a backup, which is packed.
	maxUpload = backup.MaxTotal
)

func (s *Server) handleAPI(mux *http.ServeMux) {
	handle := func(pattern string, f func(http.ResponseWriter, *http.Request) error) {
		mux.HandleFunc(pattern, s.orFail(f))
	}
	handle("GET /api/rigs", s.listRigs)
	handle("POST /api/rigs", s.createRig)
	handle("GET /api/rigs/{rig}", s.getRig)
	handle("DELETE /api/rigs/{rig}", func(w http.ResponseWriter, r *http.Request) error {
		return done(w, s.Store.Delete(r.Context(), r.PathValue("rig")))
	})
	handle("POST /api/rigs/{rig}/undelete", func(w http.ResponseWriter, r *http.Request) error {
		return done(w, s.Store.Undelete(r.Context(), r.PathValue("rig")))
	})
	handle("POST /api/rigs/{rig}/purge", func(w http.ResponseWriter, r *http.Request) error {
		return done(w, s.Store.Purge(r.Context(), r.PathValue("rig")))
	})
	handle("GET /api/rigs/{rig}/revisions", s.listRevisions)
	handle("POST /api/rigs/{rig}/revisions", s.saveRevision)
	handle("GET /api/rigs/{rig}/revisions/{n}", s.getRevision)
	handle("GET /api/rigs/{rig}/revisions/{n}/file", s.getFile)
	handle("POST /api/rigs/{rig}/revisions/{n}/bring-back", s.bringBack)
	handle("GET /api/rigs/{rig}/journal", s.getJournal)
	handle("POST /api/rigs/{rig}/journal", s.addEntry)
	handle("POST /api/import", s.importRig)
	handle("GET /api/backup", s.backUp)
	handle("POST /api/restore", s.restore)
	handle("GET /api/settings", s.getSettings)
	handle("PUT /api/settings/{key}", s.putSetting)
	handle("GET /api/events", s.events)
	handle("/api/", func(http.ResponseWriter, *http.Request) error {
		return &store.Error{Code: store.NotFound, Message: "The API has no such call."}
	})
}

// orFail makes a handler of a function whose error is to be told to the client.
func (s *Server) orFail(f func(http.ResponseWriter, *http.Request) error) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if err := f(w, r); err != nil {
			s.fail(w, r, err)
		}
	}
}

func (s *Server) listRigs(w http.ResponseWriter, r *http.Request) error {
	rigs, err := s.Store.Rigs(r.Context())
	return answer(w, http.StatusOK, map[string]any{"rigs": rigs}, err)
}

func (s *Server) createRig(w http.ResponseWriter, r *http.Request) error {
	var d store.Draft
	if err := readJSON(w, r, &d); err != nil {
		return err
	}
	v, err := s.Store.Create(r.Context(), d)
	return answer(w, http.StatusCreated, v, err)
}

func (s *Server) getRig(w http.ResponseWriter, r *http.Request) error {
	rig, err := s.Store.Rig(r.Context(), r.PathValue("rig"))
	if err != nil {
		return err
	}
	v, err := s.Store.Revision(r.Context(), rig.ID, rig.Current)
	return answer(w, http.StatusOK, map[string]any{"rig": rig, "revision": v}, err)
}

func (s *Server) listRevisions(w http.ResponseWriter, r *http.Request) error {
	all, err := s.Store.Revisions(r.Context(), r.PathValue("rig"))
	return answer(w, http.StatusOK, map[string]any{"revisions": all}, err)
}

func (s *Server) saveRevision(w http.ResponseWriter, r *http.Request) error {
	var d struct {
		Parent int `json:"parent"`
		store.Draft
	}
	if err := readJSON(w, r, &d); err != nil {
		return err
	}
	v, err := s.Store.Save(r.Context(), r.PathValue("rig"), d.Parent, d.Draft)
	return answer(w, http.StatusCreated, v, err)
}

// revision returns the revision that the path names.
func (s *Server) revision(r *http.Request) (store.Revision, error) {
	n, err := strconv.Atoi(r.PathValue("n"))
	if err != nil {
		return store.Revision{}, &store.Error{Code: store.NotFound, Message: "A revision is named by its number.", Err: err}
	}
	return s.Store.Revision(r.Context(), r.PathValue("rig"), n)
}

func (s *Server) getRevision(w http.ResponseWriter, r *http.Request) error {
	v, err := s.revision(r)
	return answer(w, http.StatusOK, v, err)
}

func (s *Server) getFile(w http.ResponseWriter, r *http.Request) error {
	v, err := s.revision(r)
	if err != nil {
		return err
	}
	attach(w, "application/toml", store.Slug(v.Name)+".toml")
	_, err = io.WriteString(w, v.Text)
	return broken(err)
}

func (s *Server) bringBack(w http.ResponseWriter, r *http.Request) error {
	var d struct {
		Parent int    `json:"parent"`
		By     string `json:"by"`
	}
	if err := readJSON(w, r, &d); err != nil {
		return err
	}
	old, err := s.revision(r)
	if err != nil {
		return err
	}
	v, err := store.BringBack(r.Context(), s.Store, old.Rig, d.Parent, old.Number, d.By)
	return answer(w, http.StatusCreated, v, err)
}

func (s *Server) getJournal(w http.ResponseWriter, r *http.Request) error {
	all, err := s.Store.Journal(r.Context(), r.PathValue("rig"))
	return answer(w, http.StatusOK, map[string]any{
		"entries": all, "ticks": store.Ticks(all), "notes": store.Notes(all),
	}, err)
}

func (s *Server) addEntry(w http.ResponseWriter, r *http.Request) error {
	var d store.EntryDraft
	if err := readJSON(w, r, &d); err != nil {
		return err
	}
	e, err := s.Store.Note(r.Context(), r.PathValue("rig"), d)
	return answer(w, http.StatusCreated, e, err)
}

func (s *Server) importRig(w http.ResponseWriter, r *http.Request) error {
	text, err := readBody(w, r, "application/toml", store.MaxText)
	if err != nil {
		return err
	}
	name, err := s.RigName(string(text))
	if err != nil {
		return &store.Error{
			Code: store.Invalid, Message: "The rig file cannot be read: " + err.Error(),
			Remedy: "Nothing was imported.", Err: err,
		}
	}
	v, err := s.Store.Create(r.Context(), store.Draft{Name: name, Text: string(text), By: "import"})
	return answer(w, http.StatusCreated, v, err)
}

func (s *Server) backUp(w http.ResponseWriter, r *http.Request) error {
	if err := s.allowTime(w); err != nil {
		return err
	}
	snapshot, err := s.Store.Snapshot(r.Context())
	if err != nil {
		return err
	}
	// By way of a file, so that a failure is told before the answer has begun.
	f, err := os.CreateTemp("", "evenlock-*.zip")
	if err != nil {
		return noRoom(err)
	}
	defer remove(f)
	if err := backup.Write(f, snapshot); err != nil {
		if _, ok := errors.AsType[*store.Error](err); ok {
			return err
		}
		return noRoom(err)
	}
	attach(w, "application/zip", "evenlock-backup-"+snapshot.Taken.Format("2006-01-02")+".zip")
	http.ServeContent(w, r, "", time.Time{}, f)
	return nil
}

func (s *Server) restore(w http.ResponseWriter, r *http.Request) error {
	if err := hasType(r, "application/zip"); err != nil {
		return err
	}
	if !s.restoring.TryLock() {
		return &store.Error{Code: store.TooMany, Message: "A backup is being restored already.", Remedy: "Wait for it to end."}
	}
	defer s.restoring.Unlock()
	if err := s.allowTime(w); err != nil {
		return err
	}
	f, err := os.CreateTemp("", "evenlock-*.zip")
	if err != nil {
		return noRoom(err)
	}
	defer remove(f)
	size, err := io.Copy(f, http.MaxBytesReader(w, r.Body, maxUpload))
	if err != nil {
		if _, tooLarge := errors.AsType[*http.MaxBytesError](err); tooLarge {
			return unreadable(err)
		}
		return noRoom(err)
	}
	snapshot, err := backup.Read(f, size)
	if err != nil {
		return err
	}
	report, err := s.Store.Merge(r.Context(), snapshot)
	return answer(w, http.StatusOK, report, err)
}

func (s *Server) getSettings(w http.ResponseWriter, r *http.Request) error {
	all, err := s.Store.Settings(r.Context())
	return answer(w, http.StatusOK, map[string]any{"settings": all}, err)
}

func (s *Server) putSetting(w http.ResponseWriter, r *http.Request) error {
	var d struct {
		Value string `json:"value"`
	}
	if err := readJSON(w, r, &d); err != nil {
		return err
	}
	return done(w, s.Store.Set(r.Context(), r.PathValue("key"), d.Value))
}

func hasType(r *http.Request, want string) error {
	got, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	if err != nil || got != want || r.Header.Get("Content-Encoding") != "" {
		return &store.Error{Code: store.WrongType, Message: fmt.Sprintf("This call takes plain %s.", want), Err: err}
	}
	return nil
}

// readBody reads a text in UTF-8.
func readBody(w http.ResponseWriter, r *http.Request, contentType string, most int64) ([]byte, error) {
	if err := hasType(r, contentType); err != nil {
		return nil, err
	}
	body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, most))
	if err != nil {
		return nil, unreadable(err)
	}
	// encoding/json would replace what is not UTF-8, unseen.
	if !utf8.Valid(body) {
		return nil, &store.Error{Code: store.Invalid, Message: "This is not text in UTF-8.", Remedy: "Save it as UTF-8 and try again."}
	}
	return body, nil
}

func readJSON(w http.ResponseWriter, r *http.Request, to any) error {
	body, err := readBody(w, r, "application/json", maxJSON)
	if err != nil {
		return err
	}
	d := json.NewDecoder(bytes.NewReader(body))
	d.DisallowUnknownFields()
	if err := d.Decode(to); err != nil {
		return &store.Error{Code: store.Invalid, Message: "The request is not as it should be: " + err.Error() + ".", Err: err}
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return &store.Error{Code: store.Invalid, Message: "The request goes on after its end.", Err: err}
	}
	return nil
}

func unreadable(err error) error {
	if most, ok := errors.AsType[*http.MaxBytesError](err); ok {
		return &store.Error{
			Code: store.TooLarge, Message: fmt.Sprintf("At most %d bytes are taken at once.", most.Limit),
			Remedy: "Nothing was changed.", Err: err,
		}
	}
	return &store.Error{Code: store.Invalid, Message: "The request broke off.", Remedy: "Nothing was changed. Try again.", Err: err}
}

func noRoom(err error) error {
	return &store.Error{
		Code: store.Full, Message: "The upload broke off, or there is no room for a temporary file.",
		Remedy: "Nothing was changed. Make room and try again.", Err: err,
	}
}

// remove takes a temporary file away. If that fails, the system will do it.
func remove(f *os.File) {
	_ = f.Close()
	_ = os.Remove(f.Name())
}

// attach has the browser keep the answer as a file, and not show it.
func attach(w http.ResponseWriter, contentType, name string) {
	w.Header().Set("Content-Type", contentType)
	w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name}))
}

func done(w http.ResponseWriter, err error) error {
	if err == nil {
		w.WriteHeader(http.StatusNoContent)
	}
	return err
}

func answer(w http.ResponseWriter, status int, v any, err error) error {
	if err != nil {
		return err
	}
	body, err := json.Marshal(v)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, err = w.Write(body)
	return broken(err)
}

// broken ends the connection of an answer that could not be sent: nothing more
// can be said on it.
func broken(err error) error {
	if err != nil {
		panic(http.ErrAbortHandler)
	}
	return nil
}

// fail tells the client: as JSON where a program asks, as a plain page otherwise.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	told := store.Tell(err)
	status := told.Code.Status()
	if told.Code == store.Internal {
		s.Log.Error("request failed", "method", r.Method, "pattern", r.Pattern, "error", err)
	}
	if !isAPI(r) {
		page(w, status, told.Message, told.Remedy, "")
		return
	}
	body := map[string]any{"error": told}
	if conflict, ok := errors.AsType[*store.ConflictError](err); ok {
		body["newer"] = conflict.Newer
	}
	text, err := json.Marshal(body)
	if err != nil {
		text = []byte(`{"error":{"code":"internal","message":"Something went wrong inside evenlock."}}`)
	}
	h := w.Header()
	h.Del("Content-Disposition")
	h.Set("Content-Type", "application/json")
	h.Set("Content-Length", strconv.Itoa(len(text)))
	w.WriteHeader(status)
	_, _ = w.Write(text)
}

// page writes a plain page without style or script. If action is not empty, it
// has one button, which posts there.
func page(w http.ResponseWriter, status int, message, remedy, action string) {
	var b strings.Builder
	data := struct{ Message, Remedy, Action string }{message, remedy, action}
	if err := plainPage.Execute(&b, data); err != nil {
		panic(err) // the template is ours and the data are strings
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = io.WriteString(w, b.String())
}
