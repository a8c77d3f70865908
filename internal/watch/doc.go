// Package watch looks at a folder, often a share of another computer, and hands on the
// scans that arrive in it: files that have stopped growing and whose content is a scan,
// those that came together as one delivery.
//
// It looks again every second, since a share tells nobody what is new in it. It only
// reads: nothing in the folder is altered, moved or deleted. What a delivery is for is
// known to who takes it, not here.
package watch
