package web

import "net/http"

// policy lets a page load what this server serves, and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
	"connect-src 'self'; worker-src 'self' blob:; font-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// guard sets the headers that every answer carries, and refuses changes that a page of
// another site sent.
func guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(crossSite))
	return cross.Handler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(), payment=(), usb=()")
		h.Set("Cache-Control", "no-store") // patient data; what may be kept says so itself
		next.ServeHTTP(w, r)
	}))
}

// crossSite refuses a change that a page of another site sent.
func crossSite(w http.ResponseWriter, r *http.Request) {
	m := mishap{Status: http.StatusForbidden, Kind: "site", What: wordsFor(r).T("refused.site")}
	if forPrograms(r) {
		writeProblem(w, m)
		return
	}
	http.Error(w, m.What, m.Status)
}
