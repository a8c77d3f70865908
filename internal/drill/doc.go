// Package drill makes cases to train on: made mouths with known faults, which a person
// looks at side by side and judges before they are told what was there, what the program
// said, and what they found themselves.
//
// A training case is no case. It has no row among the cases, no events of a case and no
// files in the store: what is kept are events of the practice's own (package store's empty
// case id) that say who practised when and how it went. Nothing that counts cases can see
// it. The scans and pictures are made anew from the recipe and its number whenever they are
// needed; the same recipe and number give the same case.
package drill
