// Package register finds the rigid motion that lays one scan on another, and says
// how well it is known.
//
// [Align] refines a start that is a few tenths of a millimetre to about two
// millimetres off; [Coarse] finds a start when the scans do not share a frame.
// Lengths are millimetres. A motion's name says which frames it joins: DstFromSrc
// takes points of the source to the frame of the destination.
//
// The package moves rigidly only: it neither scales nor bends, and it does not know
// which teeth may have changed. The caller leaves those points out.
package register
