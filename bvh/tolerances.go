package bvh

// The tree prunes with float32 arithmetic and decides with float64. It may open a box
// in vain, never close one wrongly; so each of these only has to be large enough, and
// small enough not to cost time.

// padShare widens every box by this share of the mesh's half extent h. Coordinates are
// kept relative to the middle of the mesh, so rounding one to float32 moves it by at
// most h·2⁻²⁴ and subtracting the pad by as much again; the float64 error of a nearest
// point or a hit, a few 2⁻⁵³ of a coordinate, is under the rest as long as the mesh is
// less than 2²⁵ times its own size away from the frame's origin.
const padShare = 1.0 / (1 << 22)

// queryShare is the same for the query's own coordinates: the share of their largest
// by which float32 may move them, twice over.
const queryShare = 1.0 / (1 << 23)

// slack32 covers the relative rounding of a box's squared distance or of a ray's
// parameter in float32: at most 8 operations of 2⁻²⁴ each, four times over.
const slack32 = 1.0 / (1 << 19)

// tiny32 keeps a limit of zero open; it is a normal number, far below the square of any
// length that matters.
const tiny32 = 1e-37
