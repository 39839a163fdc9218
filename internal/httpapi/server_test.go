package httpapi

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"testing/fstest"

	"go.uber.org/goleak"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

const testToken = "0123456789abcdef0123456789abcdef"

func page() fs.FS {
	return fstest.MapFS{"index.html": {Data: []byte("<!doctype html><title>Foilside</title>")}}
}

func serverOf(t *testing.T, f *fake) *Server {
	t.Helper()
	s := New(f, Options{Token: testToken, Page: page()})
	t.Cleanup(s.Close)
	return s
}

// request is one made by our own page: right host, right origin, with token.
func request(method, path, body string) *http.Request {
	r := httptest.NewRequest(method, "http://127.0.0.1:7300"+path, strings.NewReader(body))
	r.Header.Set("Authorization", "Bearer "+testToken)
	if body != "" {
		r.Header.Set("Content-Type", "application/json")
	}
	return r
}

func answerOf(s http.Handler, r *http.Request) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w
}

func problemIn(t *testing.T, w *httptest.ResponseRecorder) Problem {
	t.Helper()
	var p Problem
	if err := json.Unmarshal(w.Body.Bytes(), &p); err != nil {
		t.Fatalf("%d %s: %v", w.Code, w.Body, err)
	}
	if got := w.Header().Get("Content-Type"); got != "application/problem+json" {
		t.Errorf("a problem comes as %s", got)
	}
	return p
}

// TestGuard tries what another page in the person's browser could.
func TestGuard(t *testing.T) {
	with := func(change func(*http.Request)) func(*http.Request) { return change }
	rows := []struct {
		name   string
		method string
		path   string
		change func(*http.Request)
		want   int
	}{
		{"our own page reads", "GET", "/api/job", nil, 200},
		{"our own page changes", "POST", "/api/undo", with(func(r *http.Request) { r.Header.Set("Origin", "http://127.0.0.1:7300") }), 200},
		{"by the name localhost", "GET", "/api/job", with(func(r *http.Request) { r.Host = "localhost:7300" }), 200},
		{"by the loopback address of IPv6", "GET", "/api/job", with(func(r *http.Request) { r.Host = "[::1]:7300" }), 200},
		{"a name re-pointed at this machine, reading", "GET", "/api/job", with(func(r *http.Request) { r.Host = "evil.example:7300" }), 421},
		{"a name re-pointed, same origin, changing", "POST", "/api/undo", with(func(r *http.Request) {
			r.Host = "evil.example:7300"
			r.Header.Set("Origin", "http://evil.example:7300")
		}), 421},
		{"a name that begins like ours", "GET", "/api/job", with(func(r *http.Request) { r.Host = "127.0.0.1.evil.example" }), 421},
		{"no host at all", "GET", "/api/job", with(func(r *http.Request) { r.Host = "" }), 421},
		{"the page itself by a foreign name", "GET", "/", with(func(r *http.Request) { r.Host = "evil.example" }), 421},
		{"another page posts a form", "POST", "/api/undo", with(func(r *http.Request) { r.Header.Set("Origin", "https://evil.example") }), 403},
		{"another site posts", "POST", "/api/undo", with(func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }), 403},
		{"another port of this machine posts", "POST", "/api/undo", with(func(r *http.Request) { r.Header.Set("Origin", "http://127.0.0.1:9999") }), 403},
		{"no token", "GET", "/api/job", with(func(r *http.Request) { r.Header.Del("Authorization") }), 401},
		{"another start's token", "GET", "/api/job", with(func(r *http.Request) { r.Header.Set("Authorization", "Bearer "+NewToken()) }), 401},
		{"an empty token", "GET", "/api/job", with(func(r *http.Request) { r.Header.Set("Authorization", "Bearer ") }), 401},
		{"the page needs none", "GET", "/", with(func(r *http.Request) { r.Header.Del("Authorization") }), 200},
		{"a picture needs it", "GET", "/api/photo/foil", with(func(r *http.Request) { r.Header.Del("Authorization") }), 401},
		{"the events need it", "GET", "/api/events", with(func(r *http.Request) { r.Header.Del("Authorization") }), 401},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			r := request(row.method, row.path, "")
			if row.change != nil {
				row.change(r)
			}
			w := answerOf(serverOf(t, &fake{}), r)
			if w.Code != row.want {
				t.Errorf("answers %d, want %d: %s", w.Code, row.want, w.Body)
			}
			if w.Code >= 400 {
				if p := problemIn(t, w); p.Detail == "" || p.Next == "" {
					t.Errorf("a refusal must say what and what to do: %+v", p)
				}
			}
		})
	}
}

// TestSession trades the token for a cookie that only this bench's page sends.
func TestSession(t *testing.T) {
	s := serverOf(t, &fake{})
	open := func(token string) *httptest.ResponseRecorder {
		r := request("POST", "/api/session", token)
		r.Header.Del("Authorization")
		return answerOf(s, r)
	}
	if w := open(NewToken()); w.Code != 401 || len(w.Result().Cookies()) != 0 {
		t.Errorf("a wrong token answers %d with cookies %v", w.Code, w.Result().Cookies())
	}
	w := open(testToken)
	cookies := w.Result().Cookies()
	if w.Code != 204 || len(cookies) != 1 {
		t.Fatalf("the token answers %d with cookies %v", w.Code, cookies)
	}
	c := cookies[0]
	if !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Name != "foilside-7300" {
		t.Errorf("cookie %+v", c)
	}
	r := request("GET", "/api/job", "")
	r.Header.Del("Authorization")
	r.AddCookie(c)
	if w := answerOf(s, r); w.Code != 200 {
		t.Errorf("with the cookie the job answers %d", w.Code)
	}
}

// TestHeaders hold the page to its own machine.
func TestHeaders(t *testing.T) {
	w := answerOf(serverOf(t, &fake{}), request("GET", "/", ""))
	policy := w.Header().Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "connect-src 'self'", "base-uri 'none'", "frame-ancestors 'self'"} {
		if !strings.Contains(policy, want) {
			t.Errorf("the content policy lacks %s: %s", want, policy)
		}
	}
	if strings.Contains(policy, "http") || strings.Contains(policy, "*") {
		t.Errorf("the content policy names another machine: %s", policy)
	}
	if got := w.Header().Get("X-Content-Type-Options"); got != "nosniff" {
		t.Errorf("X-Content-Type-Options is %q", got)
	}
}

// TestBadRequests are told in words which field is wrong.
func TestBadRequests(t *testing.T) {
	rows := []struct {
		name, path, body string
		status           int
		kind             Kind
		where            string
	}{
		{"no JSON", "/api/command", `{"do": `, 400, KindBadInput, ""},
		{"unknown command", "/api/command", `{"do": "explode"}`, 422, KindBadInput, "body.do"},
		{"unknown field", "/api/command", `{"do": "unit", "txet": "x"}`, 422, KindBadInput, "body.txet"},
		{"a point with three numbers", "/api/command", `{"do": "pair", "pair": {"component": [1,2,3], "foil": [1,2]}}`, 422, KindBadInput, "body.pair.component"},
		{"a text for a number", "/api/command", `{"do": "cut", "stroke": {"from": ["a",2], "to": [1,2]}}`, 422, KindBadInput, "body.stroke.from[0]"},
		{"too large", "/api/command", `{"do": "unit", "text": "` + strings.Repeat("x", maxCommand) + `"}`, 413, KindTooLarge, ""},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			f := &fake{}
			w := answerOf(serverOf(t, f), request("POST", row.path, row.body))
			p := problemIn(t, w)
			if w.Code != row.status || p.Kind != row.kind {
				t.Errorf("answers %d %s, want %d %s: %s", w.Code, p.Kind, row.status, row.kind, w.Body)
			}
			if row.where != "" && (len(p.Errors) == 0 || p.Errors[0].Where != row.where) {
				t.Errorf("names %+v, want %s", p.Errors, row.where)
			}
			if f.job.Revision != 0 {
				t.Error("the job was changed")
			}
		})
	}
}

// TestQueries that lack what they need are refused as well.
func TestQueries(t *testing.T) {
	for _, path := range []string{"/api/expect?mode=ohms", "/api/expect?mode=watts&red=a", "/api/marking", "/api/job?nonsense=1"} {
		w := answerOf(serverOf(t, &fake{}), request("GET", path, ""))
		if w.Code != 422 {
			t.Errorf("%s answers %d, want 422: %s", path, w.Code, w.Body)
		}
	}
	if w := answerOf(serverOf(t, &fake{}), request("GET", "/api/expect?mode=ohms&red=a", "")); w.Code != 200 {
		t.Errorf("a sound query answers %d: %s", w.Code, w.Body)
	}
}

type fewWords struct{ kind, next string }

func (e fewWords) Error() string { return "C4 is on no net" }
func (e fewWords) Kind() string  { return e.kind }
func (e fewWords) Next() string  { return e.next }

// TestErrorsOfTheBench keep their words; one table gives the status.
func TestErrorsOfTheBench(t *testing.T) {
	rows := []struct {
		name   string
		err    error
		status int
		want   string
	}{
		{"plain", errors.New("collinear points"), 422, "collinear points"},
		{"with a kind and advice", fewWords{string(KindNotYet), "place it"}, 409, "C4 is on no net; place it"},
		{"cancelled", context.Canceled, 503, "context canceled"},
		{"a disk that is full", fewWords{string(KindStorage), "make room"}, 507, "C4 is on no net; make room"},
		{"a kind nobody knows", fewWords{"strange", ""}, 500, "C4 is on no net"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			w := answerOf(serverOf(t, &fake{err: row.err}), request("GET", "/api/copper", ""))
			p := problemIn(t, w)
			if w.Code != row.status || p.Error() != row.want {
				t.Errorf("answers %d %q, want %d %q", w.Code, p.Error(), row.status, row.want)
			}
		})
	}
}

// TestAPanicIsToldInWords keeps the bench running.
func TestAPanicIsToldInWords(t *testing.T) {
	f := &fake{panics: true}
	s := serverOf(t, f)
	w := answerOf(s, request("GET", "/api/job", ""))
	if p := problemIn(t, w); w.Code != 500 || p.Kind != KindInternal || p.Next == "" {
		t.Errorf("a panic answers %d %+v", w.Code, p)
	}
	f.panics = false
	if w := answerOf(s, request("GET", "/api/job", "")); w.Code != 200 {
		t.Errorf("after a panic the bench answers %d", w.Code)
	}
}

// endless is an upload that never stops.
type endless struct{ read int64 }

func (e *endless) Read(p []byte) (int, error) {
	e.read += int64(len(p))
	return len(p), nil
}

func TestUpload(t *testing.T) {
	t.Run("is handed on whole", func(t *testing.T) {
		f := &fake{}
		w := answerOf(serverOf(t, f), request("PUT", "/api/photo/foil?name=../../bottom.jpg", "bytes of a photo"))
		if w.Code != 200 || string(f.uploaded) != "bytes of a photo" || f.job.Photos[0].Name != "bottom.jpg" {
			t.Errorf("answers %d, the bench got %q under %q", w.Code, f.uploaded, f.job.Photos[0].Name)
		}
	})
	t.Run("too large is stopped at the limit", func(t *testing.T) {
		f, body := &fake{}, &endless{}
		r := request("PUT", "/api/photo/foil?name=x.tif", "")
		r.Body, r.ContentLength = io.NopCloser(body), -1
		w := answerOf(serverOf(t, f), r)
		if p := problemIn(t, w); w.Code != 413 || p.Kind != KindTooLarge {
			t.Errorf("answers %d %+v", w.Code, p)
		}
		if f.uploaded != nil || body.read > MaxUpload*2 {
			t.Errorf("read %d bytes", body.read)
		}
	})
	t.Run("to no side of a board", func(t *testing.T) {
		if w := answerOf(serverOf(t, &fake{}), request("PUT", "/api/photo/back?name=x", "x")); w.Code != 404 {
			t.Errorf("answers %d", w.Code)
		}
	})
}

// TestPicturesAreKept by the browser until they change.
func TestPicturesAreKept(t *testing.T) {
	s := serverOf(t, &fake{})
	first := answerOf(s, request("GET", "/api/photo/foil", ""))
	tag := first.Header().Get("ETag")
	if first.Code != 200 || tag == "" || first.Header().Get("Content-Type") != "image/jpeg" {
		t.Fatalf("answers %d with tag %q", first.Code, tag)
	}
	again := request("GET", "/api/photo/foil", "")
	again.Header.Set("If-None-Match", tag)
	if w := answerOf(s, again); w.Code != http.StatusNotModified || w.Body.Len() != 0 {
		t.Errorf("the second time it answers %d with %d bytes", w.Code, w.Body.Len())
	}
}

// TestSheet can be framed by the page, runs no script, and comes as a file.
func TestSheet(t *testing.T) {
	s := serverOf(t, &fake{})
	html := answerOf(s, request("GET", "/api/sheet/html", ""))
	if p := html.Header().Get("Content-Security-Policy"); strings.Contains(p, "script-src") || !strings.Contains(p, "default-src 'none'") {
		t.Errorf("the sheet's policy is %s", p)
	}
	pdf := answerOf(s, request("GET", "/api/sheet/pdf", ""))
	if got := pdf.Header().Get("Content-Disposition"); !strings.Contains(got, "service-sheet.pdf") {
		t.Errorf("the PDF comes as %q", got)
	}
	if w := answerOf(s, request("GET", "/api/sheet/docx", "")); w.Code != 404 {
		t.Errorf("another form answers %d", w.Code)
	}
}

// TestListsAreNeverNull looks at every answer whose Go value is empty.
func TestListsAreNeverNull(t *testing.T) {
	s := serverOf(t, &fake{})
	for _, path := range []string{"/api/job", "/api/copper", "/api/circuit", "/api/next", "/api/suspects", "/api/charge", "/api/kinds", "/api/log", "/api/align"} {
		w := answerOf(s, request("GET", path, ""))
		if w.Code != 200 || bytes.Contains(w.Body.Bytes(), []byte("null")) {
			t.Errorf("%s answers %d %s", path, w.Code, w.Body)
		}
	}
}

func TestUnknownRequest(t *testing.T) {
	w := answerOf(serverOf(t, &fake{}), request("GET", "/api/nothing", ""))
	if p := problemIn(t, w); w.Code != 404 || p.Kind != KindNotFound {
		t.Errorf("answers %d %+v", w.Code, p)
	}
}

// TestListenTaken says what to do when the port is in use.
func TestListenTaken(t *testing.T) {
	first, err := Listen(0)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = first.Close() }()
	addr, ok := first.Addr().(*net.TCPAddr)
	if !ok || !addr.IP.IsLoopback() {
		t.Fatalf("listens on %v, want the loopback address only", first.Addr())
	}
	_, err = Listen(addr.Port)
	if err == nil || !strings.Contains(err.Error(), "another bench may be running") {
		t.Errorf("a taken port gives %v", err)
	}
}
