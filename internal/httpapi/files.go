package httpapi

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"net/http"
	"path"
	"reflect"
)

// registerFiles puts the requests on the mux whose answers are pictures and
// pages, and the upload of a photo.
func registerFiles(mux *http.ServeMux, b Bench) {
	mux.HandleFunc("PUT /api/photo/{side}", func(w http.ResponseWriter, r *http.Request) { upload(w, r, b) })
	mux.HandleFunc("PUT /api/further", func(w http.ResponseWriter, r *http.Request) { uploadFurther(w, r, b) })
	mux.HandleFunc("GET /api/photo/{side}", func(w http.ResponseWriter, r *http.Request) {
		side, ok := sideOf(w, r)
		if !ok {
			return
		}
		data, err := b.WorkingCopy(r.Context(), side)
		send(w, r, "image/jpeg", data, err)
	})
	mux.HandleFunc("GET /api/drawing", func(w http.ResponseWriter, r *http.Request) {
		q := r.URL.Query()
		form := q.Get("form")
		media, ok := map[string]string{"": "image/svg+xml", "svg": "image/svg+xml", "pdf": "application/pdf", "png": "image/png"}[form]
		if !ok {
			writeProblem(w, Problem{Status: http.StatusNotFound, Kind: KindNotFound, Detail: "a drawing is written as svg, pdf or png", Next: "ask for one of these"})
			return
		}
		data, err := b.Drawing(r.Context(), DrawingWish{Standard: q.Get("standard"), Look: q.Get("look"), Form: form, Values: q.Get("values"),
			Points: q.Get("points") != "", Suspects: q.Get("suspects") != ""})
		send(w, r, media, data, err)
	})
	mux.HandleFunc("GET /api/sheet/{form}", func(w http.ResponseWriter, r *http.Request) { sheet(w, r, b) })
	mux.HandleFunc("/api/", func(w http.ResponseWriter, r *http.Request) {
		writeProblem(w, Problem{Status: http.StatusNotFound, Kind: KindNotFound, Detail: "the bench has no such request: " + r.Method + " " + r.URL.Path})
	})
}

func sideOf(w http.ResponseWriter, r *http.Request) (Side, bool) {
	side := Side(r.PathValue("side"))
	if side == ComponentSide || side == FoilSide {
		return side, true
	}
	writeProblem(w, Problem{Status: http.StatusNotFound, Kind: KindNotFound,
		Detail: "a board has a component side and a foil side, no other", Next: "ask for component or foil"})
	return "", false
}

func upload(w http.ResponseWriter, r *http.Request, b Bench) {
	side, ok := sideOf(w, r)
	if !ok {
		return
	}
	takeIn(w, r, func(name string, data []byte) (Job, error) { return b.SetPhoto(r.Context(), side, name, data) })
}

func uploadFurther(w http.ResponseWriter, r *http.Request, b Bench) {
	backlit := r.URL.Query().Get("backlit") == "yes"
	takeIn(w, r, func(name string, data []byte) (Job, error) { return b.AddFurther(r.Context(), name, data, backlit) })
}

// takeIn reads a photo from the request and answers with the job that has it.
func takeIn(w http.ResponseWriter, r *http.Request, put func(name string, data []byte) (Job, error)) {
	data, err := io.ReadAll(http.MaxBytesReader(w, r.Body, MaxUpload))
	if tooLarge := new(http.MaxBytesError); errors.As(err, &tooLarge) {
		writeProblem(w, Problem{Status: http.StatusRequestEntityTooLarge, Kind: KindTooLarge,
			Detail: "the photo file is larger than 256 MB", Next: "save it as JPEG, or half as wide and high, and give that"})
		return
	}
	if err != nil {
		writeProblem(w, *problemOf(err))
		return
	}
	job, err := put(path.Base(r.URL.Query().Get("name")), data)
	if err != nil {
		writeProblem(w, *problemOf(err))
		return
	}
	fillNil(reflect.ValueOf(&job).Elem())
	writeJSON(w, job)
}

func sheet(w http.ResponseWriter, r *http.Request, b Bench) {
	form := r.PathValue("form")
	media := map[string]string{"html": "text/html; charset=utf-8", "pdf": "application/pdf"}[form]
	if media == "" {
		writeProblem(w, Problem{Status: http.StatusNotFound, Kind: KindNotFound,
			Detail: "the sheet comes as html or pdf", Next: "ask for one of these"})
		return
	}
	data, err := b.Sheet(r.Context(), form)
	w.Header().Set("Content-Security-Policy", sheetPolicy)
	if form == "pdf" {
		w.Header().Set("Content-Disposition", `attachment; filename="service-sheet.pdf"`)
	}
	send(w, r, media, data, err)
}

// send answers with bytes under their hash, so that the page keeps what has
// not changed.
func send(w http.ResponseWriter, r *http.Request, media string, data []byte, err error) {
	if err != nil {
		w.Header().Del("Content-Disposition")
		writeProblem(w, *problemOf(err))
		return
	}
	sum := sha256.Sum256(data)
	tag := `"` + hex.EncodeToString(sum[:12]) + `"`
	w.Header().Set("ETag", tag)
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Header().Set("Content-Type", media)
	_, _ = w.Write(data) // the client may be gone; nobody is left to tell
}
