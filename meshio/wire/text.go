package wire

import "bytes"

// BOM is the mark that some programs put before UTF-8 text.
var bom = []byte{0xEF, 0xBB, 0xBF}

// TrimBOM returns data without the byte order mark of UTF-8.
func TrimBOM(data []byte) []byte { return bytes.TrimPrefix(data, bom) }

// Text reads words and numbers from text, and counts lines. A line ends with
// LF, CR LF, or CR. It allocates nothing; words are parts of the data.
type Text struct {
	data []byte
	i    int
	line int

	// Continued makes a backslash at the end of a line join the next one to it.
	Continued bool
}

// NewText returns a reader of data, a byte order mark left out.
func NewText(data []byte) *Text { return &Text{data: TrimBOM(data), line: 1} }

// Line returns the number, from 1, of the line that the next byte is in.
func (t *Text) Line() int { return t.line }

// Rest returns what has not been read yet.
func (t *Text) Rest() []byte { return t.data[t.i:] }

// isSpace reports whether c separates words.
func isSpace(c byte) bool { return c == ' ' || c-'\t' <= '\r'-'\t' }

// newline steps over the byte at i, which is white space, and counts the line if
// it ends one.
func (t *Text) newline() {
	c := t.data[t.i]
	t.i++
	if c == '\n' || (c == '\r' && (t.i == len(t.data) || t.data[t.i] != '\n')) {
		t.line++
	}
}

// skipSpace steps over white space, line ends included.
func (t *Text) skipSpace() {
	for t.i < len(t.data) && isSpace(t.data[t.i]) {
		t.newline()
	}
}

// word reads up to the next white space.
func (t *Text) word() []byte {
	from := t.i
	for t.i < len(t.data) && !isSpace(t.data[t.i]) {
		t.i++
	}
	return t.data[from:t.i]
}

// Word returns the next word, on this line or a later one; empty at the end.
func (t *Text) Word() []byte {
	t.skipSpace()
	return t.word()
}

// WordOnLine returns the next word on this line; empty at the line's end, which
// it does not step over.
func (t *Text) WordOnLine() []byte {
	for t.i < len(t.data) {
		switch c := t.data[t.i]; {
		case c == '\\' && t.Continued && t.join():
		case c == '\n' || c == '\r' || !isSpace(c):
			return t.wordBeforeJoin()
		default:
			t.i++
		}
	}
	return nil
}

// wordBeforeJoin is word, but stops at a backslash that joins lines.
func (t *Text) wordBeforeJoin() []byte {
	w := t.word()
	if t.Continued && len(w) > 1 && w[len(w)-1] == '\\' && t.endsLine() {
		t.i--
		w = w[:len(w)-1]
	}
	return w
}

// endsLine reports whether a line ends at the next byte.
func (t *Text) endsLine() bool {
	return t.i < len(t.data) && (t.data[t.i] == '\n' || t.data[t.i] == '\r')
}

// join steps over a backslash and the line end after it, if there is one.
func (t *Text) join() bool {
	t.i++
	if !t.endsLine() {
		t.i--
		return false
	}
	t.endLine()
	return true
}

// endLine steps over one line end.
func (t *Text) endLine() {
	if t.data[t.i] == '\r' && t.i+1 < len(t.data) && t.data[t.i+1] == '\n' {
		t.i++
	}
	t.newline()
}

// SkipLine steps to the start of the next line.
func (t *Text) SkipLine() {
	k := bytes.IndexAny(t.data[t.i:], "\r\n")
	if k < 0 {
		t.i = len(t.data)
		return
	}
	t.i += k
	t.endLine()
}

// Float reads the next word, on this line or a later one, as a number.
// If it is none, or not finite, ok is false and word is what stood there (empty
// at the end of the text).
func (t *Text) Float() (v float64, word []byte, ok bool) {
	t.skipSpace()
	if v, n := shortFloat(t.data[t.i:]); n > 0 {
		t.i += n
		return v, nil, true
	}
	w := t.word()
	v, ok = ParseFloat(w)
	return v, w, ok
}
