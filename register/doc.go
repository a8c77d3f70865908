// Package register finds the rigid motion that lays one scan on another, and says
// how well it is known.
//
// [Align] refines a start that is off by less than about its reach; [Coarse] finds
// starts when the scans do not share a frame. Lengths are millimetres, angles radians.
// A motion's name says which frames it joins: DstFromSrc takes points of the source to
// the frame of the destination.
//
// The package moves rigidly only: it neither scales nor bends, and it does not know
// which teeth may have changed. The caller leaves those points out. Results depend on
// the input alone: nothing is drawn at random, and sums run in the order of the points.
package register
