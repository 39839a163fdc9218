package jobfile

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"foilside/internal/job"
)

// historyVersion is the version of the history file that this program writes.
const historyVersion = 1

// historyName is the history file's name in the history's folder.
const historyName = "history.json"

// keptHistory is the history file beside a job's text: the document that it
// leads up to, and what was done.
type keptHistory struct {
	Version  int          `json:"version"`
	Revision int64        `json:"revision"`
	Document job.Document `json:"document"`
	History  job.History  `json:"history"`
	Photos   []photoMeta  `json:"photos"`
}

// photoMeta is what is known of a photo besides its bytes.
type photoMeta struct {
	SHA256    string `json:"sha256"`
	Name      string `json:"name"`
	MediaType string `json:"media_type"`
}

func (k keptHistory) meta(sha string) (photoMeta, bool) {
	i := slices.IndexFunc(k.Photos, func(m photoMeta) bool { return m.SHA256 == sha })
	if i < 0 {
		return photoMeta{}, false
	}
	return k.Photos[i], true
}

// historyDir is the folder beside the text for what the text doesn't hold.
func (f *Folder) historyDir() string {
	base := filepath.Base(f.path)
	return strings.TrimSuffix(base, filepath.Ext(base)) + ".history"
}

// readHistory returns what is kept beside the text; nothing kept is no error.
func (f *Folder) readHistory() (keptHistory, error) {
	name := path.Join(f.historyDir(), historyName)
	data, err := f.root.ReadFile(filepath.FromSlash(name))
	if errors.Is(err, fs.ErrNotExist) {
		return keptHistory{}, nil
	}
	if err != nil {
		return keptHistory{}, err
	}
	var k keptHistory
	err = json.Unmarshal(data, &k)
	switch {
	case err == nil && k.Version > historyVersion:
		return k, &Error{Kind: ErrNewer, Path: name, What: fmt.Sprintf("the history is of version %d, and this program knows versions up to %d", k.Version, historyVersion),
			Next: "Take a newer Foilside, or move the folder " + f.historyDir() + " away to go on from the text alone."}
	case err != nil || k.Version < 1 || k.History.Done < 0 || k.History.Done > len(k.History.Steps):
		return k, &Error{Kind: ErrDamaged, Path: name, Err: err, What: "the history is damaged",
			Next: "Move the folder " + f.historyDir() + " away to go on from the text alone; it was left as it is."}
	}
	return k, nil
}

// resume joins the history to the text. A text that was edited by hand since
// is one more step, so that it can be taken back too.
func (k keptHistory) resume(doc job.Document, edited time.Time) (job.Snapshot, error) {
	if k.Version == 0 {
		return job.Snapshot{Document: doc}, nil
	}
	by := job.Diff(k.Document, doc, "Edit the text by hand")
	if by.Empty() {
		return job.Snapshot{Document: doc, History: k.History, Revision: k.Revision}, nil
	}
	_, h, err := job.Do(k.Document, k.History, by, edited)
	return job.Snapshot{Document: doc, History: h, Revision: k.Revision + 1}, err
}

// textTime is when the text was last written.
func (f *Folder) textTime() time.Time {
	info, err := os.Stat(f.path)
	if err != nil {
		return time.Time{}
	}
	return info.ModTime()
}

// writeHistory writes the history file of the state as it stands.
func (f *Folder) writeHistory() error {
	k := keptHistory{Version: historyVersion, Revision: f.at.Revision, Document: f.at.Document, History: f.at.History}
	for _, s := range f.blobs {
		k.Photos = append(k.Photos, s.meta)
	}
	slices.SortFunc(k.Photos, func(a, b photoMeta) int { return strings.Compare(a.SHA256, b.SHA256) })
	data, err := json.MarshalIndent(k, "", " ")
	if err != nil {
		return err
	}
	return f.replace(path.Join(f.historyDir(), historyName), append(data, '\n'))
}
