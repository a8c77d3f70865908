package study

import (
	"bytes"
	"encoding/json"
	"fmt"
)

// Header is the first line of a study's log: what its trials depend on.
type Header struct {
	Schema    string `json:"schema"` // selvage.study-log/1
	Program   string `json:"program"`
	Seed      uint64 `json:"seed"`
	Triangles int    `json:"triangles"`
}

// Head returns the header of the log of a study by the given program.
func Head(o Options, program string) Header {
	return Header{"selvage.study-log/1", program, o.Seed, o.Triangles}
}

// LogError says that a log is not of the study that wants to go on with it.
type LogError struct{ What string }

// Error says what the log is.
func (e *LogError) Error() string { return e.What }

// Line is a value as a line of a log.
func Line(v any) ([]byte, error) {
	data, err := json.Marshal(v)
	return append(data, '\n'), err
}

// ReadLog returns the trials of a log and the number of bytes that hold them and the
// header. A last line that was torn off when the study was stopped is left out; a
// study goes on behind whole. An empty log has no trials and no header. It is a
// [LogError] if the header is not want.
func ReadLog(log []byte, want Header) (trials []Trial, whole int, err error) {
	for n := 0; ; n++ {
		end := bytes.IndexByte(log[whole:], '\n')
		if end < 0 {
			return trials, whole, nil
		}
		line := log[whole : whole+end]
		if n == 0 {
			var h Header
			if err := json.Unmarshal(line, &h); err != nil || h != want {
				return nil, 0, &LogError{fmt.Sprintf("it holds the cases of another study: program %q, seed %d; this is program %q, seed %d", h.Program, h.Seed, want.Program, want.Seed)}
			}
		} else {
			var t Trial
			if err := json.Unmarshal(line, &t); err != nil {
				return nil, 0, &LogError{fmt.Sprintf("line %d is no trial: %v", n+1, err)}
			}
			trials = append(trials, t.numbered())
		}
		whole += end + 1
	}
}

// numbered gives the samples of a trial its number, which their JSON leaves out.
func (t Trial) numbered() Trial {
	t.Axis.caseNo = t.Number
	for i := range t.Values {
		t.Values[i].caseNo = t.Number
	}
	return t
}
