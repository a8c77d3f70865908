package register

const (
	// leastScale keeps the robust scale from collapsing on exact data: 0.1 µm, far
	// below the noise of any scan.
	leastScale = 1e-4

	// lever turns an angle into a length where the two are compared, mm: the reach of
	// a quadrant from its middle.
	lever = 20.0

	// stillStep ends the iteration, mm at the lever: a hundredth of the 2 µm to which
	// a good registration is known.
	stillStep = 2e-5

	// slideShare is the least information that one of the six motions must have, as a
	// share of that of a surface whose normals point every way. A scan of teeth has
	// 0.05-0.3; a cylinder's or plane's free motions have none but noise.
	slideShare = 0.004

	// cellSize is the edge, mm, of the cells within which residuals are taken to be
	// correlated: ten times the spacing of a scan, larger than the patches that a
	// scanner fits together in one go are smooth over.
	cellSize = 1.0

	// enoughCells is the least number of cells for an estimate of the spread between
	// them; with sixty its own standard error is 9 %.
	enoughCells = 60

	// smallestCell bounds the halving that enoughCells asks for.
	smallestCell = cellSize / 8
)
