// Package backup writes everything that a store keeps into one file, and reads
// it back. The file is a zip archive that a person can open without evenlock:
//
//	README.txt                            what this is, in words
//	manifest.json                         names, times, notes, journal, settings
//	rigs/bench-mule-ID/0001.toml          revision 1 of a rig, as it was saved
//	rigs/bench-mule-ID/0002.toml
//
// The manifest is a [Manifest] in JSON. Its format has a version; files of older
// versions stay readable, newer ones are refused.
//
//	snapshot, err := s.Snapshot(ctx)
//	err = backup.Write(w, snapshot)
//	...
//	snapshot, err = backup.Read(file, size)
//	report, err := s.Merge(ctx, snapshot)
//
// Read trusts nothing. It takes no file that the manifest does not list, no name
// that could mean a place outside the archive, nothing whose size or SHA-256 is
// not as listed, and no more than a stated amount. It writes no files.
package backup

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"time"

	"evenlock/store"
)

// Format and Version mark the manifest.
const (
	Format  = "evenlock backup"
	Version = 1
)

// What a backup may hold at most. Write keeps to the same limits, so that what
// was written can be read.
const (
	// MaxFiles is the number of revisions.
	MaxFiles = 200_000
	// MaxTotal is the size of everything unpacked, in bytes.
	MaxTotal = 512 << 20
	// MaxManifest is the size of the manifest unpacked, in bytes.
	MaxManifest = 128 << 20
)

const (
	manifestName = "manifest.json"
	readmeName   = "README.txt"
)

// Manifest is the content of manifest.json.
type Manifest struct {
	Format   string            `json:"format"`
	Version  int               `json:"version"`
	Taken    time.Time         `json:"taken"`
	Rigs     []ManifestRig     `json:"rigs"`
	Settings map[string]string `json:"settings,omitempty"`
}

// ManifestRig lists one rig.
type ManifestRig struct {
	store.Rig
	Revisions []ManifestRevision `json:"revisions"`
	Journal   []store.Entry      `json:"journal,omitempty"`
}

// ManifestRevision lists one revision. Its text is in a file of its own, and
// left out here.
type ManifestRevision struct {
	store.Revision
	File   string `json:"file"`
	Size   int    `json:"size"`
	SHA256 string `json:"sha256"`
}

const readme = `This is a backup of the rigs kept by evenlock.

Each folder below rigs/ is one rig. The files in it are its revisions in the order
in which they were saved, each a complete rig file; the highest number is usually the
current one. manifest.json says which one is, and holds the notes and the journal.

To restore everything, open evenlock's page and choose to restore a backup. Nothing kept
there is overwritten. To use a single rig, import its file.
`

// Write writes a backup. It fails with a [store.TooLarge] error if the snapshot
// exceeds the limits; other errors are the writer's.
func Write(w io.Writer, s *store.Snapshot) error {
	files, total := 0, len(readme)
	for _, r := range s.Rigs {
		for _, v := range r.Revisions {
			files++
			total += len(v.Text)
		}
	}
	if files > MaxFiles || total > MaxTotal {
		return tooLarge("There is more to back up than one file may hold.")
	}

	archive := zip.NewWriter(w)
	add := func(name string, at time.Time, content []byte) error {
		f, err := archive.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: at.UTC()})
		if err == nil {
			_, err = f.Write(content)
		}
		return err
	}
	if err := add(readmeName, s.Taken, []byte(readme)); err != nil {
		return err
	}
	m := Manifest{Format: Format, Version: Version, Taken: s.Taken, Settings: s.Settings, Rigs: []ManifestRig{}}
	for _, r := range s.Rigs {
		listed := ManifestRig{Rig: r.Rig, Journal: r.Journal}
		for _, v := range r.Revisions {
			sum := sha256.Sum256([]byte(v.Text))
			// The ID keeps rigs of one name apart.
			one := ManifestRevision{
				Revision: v, Size: len(v.Text), SHA256: hex.EncodeToString(sum[:]),
				File: fmt.Sprintf("rigs/%s-%s/%04d.toml", store.Slug(r.Rig.Name), r.Rig.ID, v.Number),
			}
			one.Text = ""
			if err := add(one.File, v.Saved, []byte(v.Text)); err != nil {
				return err
			}
			listed.Revisions = append(listed.Revisions, one)
		}
		m.Rigs = append(m.Rigs, listed)
	}
	manifest, err := json.MarshalIndent(m, "", "\t")
	if err != nil {
		return err
	}
	if len(manifest) > MaxManifest || total+len(manifest) > MaxTotal {
		return tooLarge("There is more to back up than one file may hold.")
	}
	if err := add(manifestName, s.Taken, manifest); err != nil {
		return err
	}
	return archive.Close()
}

// Read reads a backup of the given size in bytes and checks all of it. Errors
// are [*store.Error] of the codes Invalid, TooLarge and Newer.
func Read(r io.ReaderAt, size int64) (*store.Snapshot, error) {
	archive, err := zip.NewReader(r, size)
	if err != nil {
		return nil, notOurs("it is not a whole zip archive", err)
	}
	files, err := contents(archive)
	if err != nil {
		return nil, err
	}
	m, err := readManifest(files[manifestName])
	if err != nil {
		return nil, err
	}
	delete(files, manifestName)
	delete(files, readmeName)

	s := &store.Snapshot{Taken: m.Taken, Settings: m.Settings}
	for _, r := range m.Rigs {
		one := store.RigSnapshot{Rig: r.Rig, Journal: r.Journal}
		for _, v := range r.Revisions {
			if v.Text != "" {
				return nil, notOurs("its manifest holds a text that belongs in a file", nil)
			}
			// Each file serves once: otherwise a small file could unpack to much.
			f := files[v.File]
			delete(files, v.File)
			if v.Text, err = readRevision(f, v); err != nil {
				return nil, err
			}
			one.Revisions = append(one.Revisions, v.Revision)
		}
		s.Rigs = append(s.Rigs, one)
	}
	for name := range files {
		return nil, notOurs(fmt.Sprintf("its manifest does not list the file %.60q", name), nil)
	}
	if err := s.Check(); err != nil {
		return nil, notOurs("its manifest is not sound: "+strings.TrimSuffix(store.Tell(err).Message, "."), err)
	}
	return s, nil
}

// contents lists the archive's files by name, after a look at all their names and
// at the sizes that they admit to.
func contents(archive *zip.Reader) (map[string]*zip.File, error) {
	if len(archive.File) > MaxFiles+2 {
		return nil, tooLarge("It holds more files than a backup may.")
	}
	files := make(map[string]*zip.File, len(archive.File))
	var total uint64
	for _, f := range archive.File {
		if !fs.ValidPath(f.Name) || strings.ContainsAny(f.Name, `\:`) || !f.Mode().IsRegular() {
			return nil, notOurs(fmt.Sprintf("the name %.60q in it is not that of a plain file", f.Name), nil)
		}
		if files[f.Name] != nil {
			return nil, notOurs(fmt.Sprintf("the file %.60q is in it twice", f.Name), nil)
		}
		files[f.Name] = f
		if f.UncompressedSize64 > MaxTotal {
			return nil, tooLarge("It unpacks to more than a backup may.")
		}
		if total += f.UncompressedSize64; total > MaxTotal {
			return nil, tooLarge("It unpacks to more than a backup may.")
		}
	}
	return files, nil
}

func readManifest(f *zip.File) (*Manifest, error) {
	if f == nil {
		return nil, notOurs("it has no manifest.json", nil)
	}
	content, err := unpack(f, MaxManifest)
	if err != nil {
		return nil, err
	}
	var mark struct {
		Format  string `json:"format"`
		Version int    `json:"version"`
	}
	if err := json.Unmarshal(content, &mark); err != nil || mark.Format != Format || mark.Version < 1 {
		return nil, notOurs("its manifest is not one of evenlock's", err)
	}
	if mark.Version > Version {
		return nil, &store.Error{
			Code:    store.Newer,
			Message: fmt.Sprintf("The backup was written by a newer evenlock (version %d; this one knows up to %d).", mark.Version, Version),
			Remedy:  "Restore it with that newer evenlock.",
		}
	}
	var m Manifest
	decoder := json.NewDecoder(bytes.NewReader(content))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(&m); err != nil {
		return nil, notOurs("its manifest cannot be read", err)
	}
	return &m, nil
}

func readRevision(f *zip.File, v ManifestRevision) (string, error) {
	if f == nil {
		return "", notOurs(fmt.Sprintf("the file %.60q is missing or listed twice", v.File), nil)
	}
	content, err := unpack(f, store.MaxText)
	if err != nil {
		return "", err
	}
	sum := sha256.Sum256(content)
	if len(content) != v.Size || hex.EncodeToString(sum[:]) != v.SHA256 {
		return "", notOurs(fmt.Sprintf("the file %.60q is not what it was when the backup was made", v.File), nil)
	}
	return string(content), nil
}

// unpack reads a file, and no more than most bytes of it whatever it claims.
func unpack(f *zip.File, most int64) ([]byte, error) {
	if f.UncompressedSize64 > uint64(most) {
		return nil, tooLarge(fmt.Sprintf("The file %.60q in it is larger than it may be.", f.Name))
	}
	r, err := f.Open()
	if err != nil {
		return nil, notOurs(fmt.Sprintf("the file %.60q cannot be unpacked", f.Name), err)
	}
	content, err := io.ReadAll(io.LimitReader(r, most+1))
	if closeErr := r.Close(); err == nil {
		err = closeErr
	}
	if err != nil {
		return nil, notOurs(fmt.Sprintf("the file %.60q cannot be unpacked", f.Name), err)
	}
	if int64(len(content)) > most {
		return nil, tooLarge(fmt.Sprintf("The file %.60q in it is larger than it may be.", f.Name))
	}
	return content, nil
}

func notOurs(why string, err error) error {
	return &store.Error{
		Code: store.Invalid, Message: "This is not a whole backup of evenlock's: " + why + ".",
		Remedy: "Nothing was restored. Choose the file as evenlock wrote it. Its rig files can also be taken out of it and imported one by one.",
		Err:    err,
	}
}

func tooLarge(message string) error {
	return &store.Error{
		Code: store.TooLarge, Message: message,
		Remedy: fmt.Sprintf("A backup holds at most %d revisions and %d MiB. Close evenlock and copy the folder that rigs are kept in instead.", MaxFiles, MaxTotal>>20),
	}
}
