// Package quality tells what few cases say of many: a share with its interval, the limits
// between which groups of different sizes differ by chance, a running sum that alarms when
// failures come more often than they did, and the middle of durations with what is known
// of it.
//
// It counts and knows nothing of cases or people. A share is never given without how many
// it was counted from; under [Few] it is not given at all. Frames and units: none; shares
// lie within 0 to 1.
package quality
