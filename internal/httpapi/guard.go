package httpapi

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/hex"
	"net"
	"net/http"
	"slices"
	"strings"
)

// contentPolicy lets the page use its own files and nothing else. Styles may
// stand in attributes, since the viewer places its layers so; img-src has blob:
// for pictures that the page draws itself, and worker-src with wasm for the
// decoder of HEIC photographs.
const contentPolicy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self' 'unsafe-inline'; " +
	"img-src 'self' data: blob:; font-src 'self'; connect-src 'self'; frame-src 'self'; worker-src 'self' blob:; " +
	"form-action 'none'; base-uri 'none'; frame-ancestors 'self'"

// sheetPolicy is for the service sheet, which has its style inside and no
// script at all.
const sheetPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src 'self' data:; frame-ancestors 'self'"

// NewToken makes the secret of one start of the server: 128 random bits.
func NewToken() string {
	var b [16]byte
	_, _ = rand.Read(b[:]) // never fails: crypto/rand.Read
	return hex.EncodeToString(b[:])
}

// guard stands before every request.
//
// The server listens on the loopback address only, but any page that the
// person has open elsewhere can send requests there. Three checks keep those
// out: the Host must be ours (a name that was re-pointed at 127.0.0.1 is not),
// requests that change something must come from our own page
// (http.CrossOriginProtection), and the API wants the token that only the
// address printed at the start holds.
type guard struct {
	token string
	hosts []string // allowed hosts without port; empty: the loopback names
	next  http.Handler
}

func newGuard(token string, next http.Handler) http.Handler {
	own := http.NewCrossOriginProtection()
	own.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		writeProblem(w, Problem{Status: http.StatusForbidden, Kind: KindForeign,
			Detail: "the request came from another page than the bench", Next: "open the bench by the address that foilside printed"})
	}))
	g := &guard{token: token, hosts: []string{"127.0.0.1", "localhost", "::1"}, next: next}
	return own.Handler(g)
}

func (g *guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	secureHeaders(w.Header())
	if !g.hostAllowed(r.Host) {
		writeProblem(w, Problem{Status: http.StatusMisdirectedRequest, Kind: KindForeign,
			Detail: "the bench does not answer to the name " + quoteHost(r.Host), Next: "open it by the address that foilside printed"})
		return
	}
	if strings.HasPrefix(r.URL.Path, "/api/") && r.URL.Path != sessionPath && !g.hasToken(r) {
		writeProblem(w, Problem{Status: http.StatusUnauthorized, Kind: KindNoToken,
			Detail: "this window does not hold the key of the running bench", Next: "open the address that foilside printed when it started"})
		return
	}
	g.next.ServeHTTP(w, r)
}

func secureHeaders(h http.Header) {
	h.Set("Content-Security-Policy", contentPolicy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Cache-Control", "no-cache")
}

func (g *guard) hostAllowed(hostport string) bool {
	host := hostport
	if h, _, err := net.SplitHostPort(hostport); err == nil {
		host = h
	}
	return slices.Contains(g.hosts, strings.ToLower(strings.Trim(host, "[]")))
}

// quoteHost keeps a hostile Host header out of the message.
func quoteHost(host string) string {
	if len(host) > 80 {
		host = host[:80]
	}
	return strings.Map(func(r rune) rune {
		if r < 0x20 || r > 0x7e || r == '<' || r == '>' || r == '"' {
			return -1
		}
		return r
	}, host)
}

func (g *guard) hasToken(r *http.Request) bool {
	if bearer, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok && g.same(bearer) {
		return true
	}
	c, err := r.Cookie(cookieName(r.Host))
	return err == nil && g.same(c.Value)
}

func (g *guard) same(given string) bool {
	return subtle.ConstantTimeCompare([]byte(given), []byte(g.token)) == 1
}

const sessionPath = "/api/session"

// cookieName holds the port, since cookies are shared by all ports of a host
// and two benches may run at once.
func cookieName(hostport string) string {
	_, port, err := net.SplitHostPort(hostport)
	if err != nil {
		port = "80"
	}
	return "foilside-" + port
}

// session trades the token, which the page finds in the fragment of its
// address (never sent to a server, never in a log), for a cookie that scripts
// can't read and other sites don't send.
func session(token string) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		given := make([]byte, 64)
		n, _ := r.Body.Read(given)
		if subtle.ConstantTimeCompare(given[:n], []byte(token)) != 1 {
			writeProblem(w, Problem{Status: http.StatusUnauthorized, Kind: KindNoToken,
				Detail: "the key in this address is not that of the running bench",
				Next:   "open the address that foilside printed when it started"})
			return
		}
		http.SetCookie(w, &http.Cookie{Name: cookieName(r.Host), Value: token, Path: "/",
			HttpOnly: true, SameSite: http.SameSiteStrictMode})
		w.WriteHeader(http.StatusNoContent)
	}
}
