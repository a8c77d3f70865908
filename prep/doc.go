// Package prep holds the nouns of a prepared tooth that its measurements share:
// the cut-out surface with its frame (Preparation), the half-plane sections
// round the axis (Fan of Profiles) and the traced finish line (Margin).
//
// The frame of a preparation has its origin at the fan's centre, +Z along the
// insertion axis (root to crown), +X towards mesial and +Y = Z × X, which is
// buccal or lingual according to the quadrant. Azimuth is counted from +X towards
// +Y, in radians. Lengths are millimetres.
//
//	      occlusal          z
//	  ___________           ^
//	 /           \          |
//	/   wall      \         +--> rho
//	|              \__  <- shelf
//	                  |  <- margin: the outer, convex edge of the shelf
//	                  \  root, then sulcus and gum
//
// The package answers what the surface is; prep/margin, prep/axis, prep/wall,
// prep/undercut and prep/reduction measure it.
package prep
