package wire

import (
	"math"
	"strconv"
)

// pow10 are the powers of ten that a float64 holds exactly.
var pow10 = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// Limits of the short way: a decimal of at most 19 digits fits a uint64, one
// below 2⁵³ fits a float64, and then one product or quotient by an exact power
// of ten rounds once, hence correctly (Clinger 1990).
const (
	maxDigits   = 19
	maxMantissa = 1 << 53
	maxPower    = 22
)

// ParseFloat returns the number that the word spells, rounded like
// [strconv.ParseFloat] rounds. ok is false if it spells none or one that is not
// finite. No allocation for words of ordinary length.
func ParseFloat(word []byte) (v float64, ok bool) {
	if v, n := shortFloat(word); n == len(word) && n > 0 {
		return v, true
	}
	v, err := strconv.ParseFloat(string(word), 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return 0, false
	}
	return v, true
}

// shortFloat reads a plain decimal from the start of b and returns its value and
// length. The length is 0 if b starts with none that the short way can round, or
// if something else than white space follows it.
func shortFloat(b []byte) (v float64, n int) {
	i, negative := sign(b)
	var mant uint64
	digits, power := 0, 0
	first := i
	for i < len(b) && isDigit(b[i]) {
		mant = mant*10 + uint64(b[i]-'0')
		i++
	}
	digits = i - first
	if i < len(b) && b[i] == '.' {
		i++
		first = i
		for i < len(b) && isDigit(b[i]) {
			mant = mant*10 + uint64(b[i]-'0')
			i++
		}
		digits += i - first
		power = first - i
	}
	if digits == 0 || digits > maxDigits || mant > maxMantissa {
		return 0, 0
	}
	if i < len(b) && b[i]|0x20 == 'e' {
		e, k := shortExponent(b[i+1:])
		if k == 0 {
			return 0, 0
		}
		power += e
		i += 1 + k
	}
	if power < -maxPower || power > maxPower || (i < len(b) && !isSpace(b[i])) {
		return 0, 0
	}
	v = float64(mant)
	if power < 0 {
		v /= pow10[-power]
	} else {
		v *= pow10[power]
	}
	if negative {
		v = -v
	}
	return v, i
}

// sign reads an optional sign.
func sign(b []byte) (n int, negative bool) {
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		return 1, b[0] == '-'
	}
	return 0, false
}

// maxExponentDigits is enough for every exponent that the short way can use.
const maxExponentDigits = 4

// shortExponent reads a signed decimal of few digits and returns its length, 0
// if there is none.
func shortExponent(b []byte) (e, n int) {
	i, negative := sign(b)
	first := i
	for i < len(b) && isDigit(b[i]) && i-first < maxExponentDigits {
		e = e*10 + int(b[i]-'0')
		i++
	}
	if i == first {
		return 0, 0
	}
	if negative {
		e = -e
	}
	return e, i
}

// ParseInt returns the whole number that the word spells in decimal. ok is false
// if it spells none or one beyond 18 digits.
func ParseInt(word []byte) (v int, ok bool) {
	i, negative := sign(word)
	if i == len(word) || len(word)-i >= maxDigits {
		return 0, false
	}
	for ; i < len(word); i++ {
		if !isDigit(word[i]) {
			return 0, false
		}
		v = v*10 + int(word[i]-'0')
	}
	if negative {
		v = -v
	}
	return v, true
}

// isDigit reports whether c is a decimal digit.
func isDigit(c byte) bool { return c-'0' <= 9 }
