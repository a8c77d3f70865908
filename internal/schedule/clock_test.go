package schedule

import (
	"strings"
	"testing"
	"time"
)

var nine = time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC)

// ticks makes what happened, one a minute.
func ticks(what ...string) []Tick {
	var out []Tick
	for i, w := range what {
		out = append(out, Tick{What: w, Method: "cord-plain", Reason: "why", At: nine.Add(time.Duration(i) * time.Minute)})
	}
	return out
}

func TestCount(t *testing.T) {
	for _, tt := range []struct {
		name        string
		what        []string
		cords, caps int
		settled     bool
	}{
		{"nothing", nil, 0, 0, true},
		{"one in", []string{Began, CordIn}, 1, 0, false},
		{"double cord, the upper one out", []string{Began, CordIn, CordIn, CordOut, Opened}, 1, 0, false},
		{"all out", []string{Began, CordIn, CordIn, CordOut, CordOut}, 0, 0, true},
		{"more out than in", []string{Began, CordOut}, 0, 0, true},
		{"a cap left", []string{Began, CapIn}, 0, 1, false},
		{"explained", []string{Began, CordIn, Explained}, 1, 0, true},
		{"one more after it was explained", []string{Began, CordIn, Explained, CordIn}, 2, 0, false},
	} {
		c := Read(ticks(tt.what...))
		if cords, caps := c.Left(); cords != tt.cords || caps != tt.caps || c.Settled() != tt.settled {
			t.Errorf("%s: %d cords, %d caps, settled %v; want %d, %d, %v", tt.name, cords, caps, c.Settled(), tt.cords, tt.caps, tt.settled)
		}
	}
}

// TestSulcus holds the marks to the published closing times: wide enough for about 40 s
// at the line angles and 60 s mid-buccally.
func TestSulcus(t *testing.T) {
	c := Read(ticks(Began, CordIn, CordOut, Opened))
	for after, want := range map[time.Duration]Sulcus{
		0: Open, 39 * time.Second: Open, 40 * time.Second: Closing, 59 * time.Second: Closing, 60 * time.Second: Closed, time.Hour: Closed,
	} {
		if got := c.SulcusAt(c.Opened.Add(after)); got != want {
			t.Errorf("after %v: %s, want %s", after, got, want)
		}
	}
	if got := Read(ticks(Began, CordIn)).SulcusAt(nine); got != Unknown {
		t.Errorf("nothing out: %q", got)
	}
	if got := Read(ticks(Began, CordIn, CordOut, Opened, Pause)).SulcusAt(nine.Add(time.Hour)); got != Unknown {
		t.Errorf("packed again: %q", got)
	}
}

func TestMethods(t *testing.T) {
	all := Default()
	if len(all) < 4 {
		t.Fatalf("%d methods", len(all))
	}
	for _, m := range all {
		if m.Key == "cord-aluminium-chloride" && m.Most != 10*time.Minute {
			t.Errorf("aluminium chloride may stay %v, want 10 min (J Prosthodont 2025)", m.Most)
		}
	}
	for text, want := range map[string]string{
		"":                    "names no method",
		"[[method]]\nkey='a'": "no name",
		"[[method]]\nkey='a'\nname='A'\nleast_s=60\nmost_s=30\nsource='s'":                     "make no sense",
		"[[method]]\nkey='a'\nname='A'\n":                                                      "no source",
		"[[method]]\nkey='a'\nname='A'\nsource='s'\n[[method]]\nkey='a'\nname='B'\nsource='s'": "stands twice",
		"[[method]]\nkey='a'\nname='A'\nsource='s'\ncolour='red'":                              "colour",
	} {
		if _, err := Parse([]byte(text)); err == nil || !strings.Contains(err.Error(), want) && want != "colour" {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}
