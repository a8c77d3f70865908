// Package edge finds the sharp convex edges of a preparation and what they cost where
// the inside of the crown is milled: a tool that is rounder than the edge has to cut
// deeper beside it, and the crown gets thinner there.
//
// An edge is described by the round arc that leaves the scanned surface best: two
// flanks and one radius between them, fitted in sections square to the edge. The
// margin itself, which is an edge by intention, is left out.
package edge

import (
	"math"
	"slices"

	"selvage/internal/num"
	"selvage/measure"
	"selvage/prep"
	"selvage/r3"
)

// Options tunes Measure.
type Options struct {
	// Tool is the radius of the finest milling tool, mm; 0 means 0.5.
	Tool float64
}

// Place is one section of an edge.
type Place struct {
	At     r3.Vec  // crest, scan frame
	Along  r3.Vec  // unit, along the edge
	Normal r3.Vec  // unit, outward at the crest
	Radius float64 // of the round between the flanks, mm
	U      float64 // of it, k = 2, mm
	Turn   float64 // angle between the flanks' normals, radians
	Arc    float64 // radius of the arc that leaves the same crest between the same flanks, mm
	Over   float64 // how much deeper than the surface the tool must cut beside the edge, mm

	fixed   float64 // what of U does not scatter from section to section, mm
	scatter float64 // standard deviation of Radius by noise, mm
}

// Result is what was found.
type Result struct {
	// Radius is the least radius that holds over 1.5 mm of edge, mm.
	Radius measure.Value
	// Over is the greatest depth, over 1.5 mm of edge, by which a tool of
	// Options.Tool thins the crown, mm; 0 where it enters everywhere.
	Over measure.Value
	// Volume is what the tool takes off the inside of the crown besides, mm³.
	Volume measure.Value
	Places []Place // every section that could be fitted, in order of the mesh

	scan          string
	spacing, tool float64
	unread        float64 // share of the way round on which surface above the line was left out
}

// Without returns what is found with the places left out that are hidden: by a sheet of
// the scan that is not the tooth, say, whose own border would pass for an edge.
func (r Result) Without(hidden func(at r3.Vec) bool) Result {
	out := Result{scan: r.scan, spacing: r.spacing, tool: r.tool, unread: r.unread}
	for _, p := range r.Places {
		if !hidden(p.At) {
			out.Places = append(out.Places, p)
		}
	}
	switch len(out.Places) {
	case len(r.Places):
		return r
	case 0:
		return nothing("whatever edges there are lie under a sheet of the scan that is not the tooth")
	}
	out.summarise()
	return out
}

// nothing is what is found where nothing can be told, and why.
func nothing(why string) Result {
	return Result{Radius: measure.Not(why), Over: measure.Not(why), Volume: measure.Not(why)}
}

// Bounds of the measurement, mm.
const (
	toolDefault = 0.5
	// stretch is the length of edge over which a value must hold: a single place is no
	// edge that a tool fails to enter.
	stretch = 1.5
	// fewestPlaces is the fewest sections within a stretch that speak for it.
	fewestPlaces = 5
	// coarsest is the spacing above which an edge is not measured: sections of 0.6 mm
	// length then hold fewer than two rows of points on its round.
	coarsest = 0.2
	// noisiest is the noise, one standard deviation, above which it is not: a round of
	// 0.3 mm in a right angle stands 0.12 mm inside its corner, four deviations of single
	// points; beyond, the sharpest places are those that cannot be fitted.
	noisiest = 0.03
)

// Measure looks for edges on the preparation of a traced margin. topo and normals are
// those of the preparation's cut-out.
//
// A scan shows no edge sharper than about half its spacing: below that the
// radius is an upper bound, and its U says so. Cost: O(vertices · edge length), about
// 0.2 s of one core. Deterministic.
func Measure(m *prep.Margin, o Options) Result {
	if o.Tool <= 0 {
		o.Tool = toolDefault
	}
	p := m.Fan.Prep
	if why := unfit(p); why != "" {
		return nothing(why)
	}
	in, unread := inside(m)
	if len(in) < fewestInside {
		return nothing("too little of the preparation is to be seen")
	}
	r := Result{scan: p.Scan, spacing: p.Spacing, tool: o.Tool, unread: unread}
	doubtful := 0
	for _, s := range seeds(p, in) {
		pl, ok := fitPlace(p, in, s)
		switch {
		case !ok:
		case pl.U > unsure+pl.Radius/6:
			doubtful++
		default:
			pl.Over = overCut(pl, o.Tool)
			r.Places = append(r.Places, pl)
		}
	}
	if doubtful > len(r.Places) {
		return nothing(blurred)
	}
	r.summarise()
	return r
}

const blurred = "the scan is too coarse or too noisy to tell how sharp its edges are"

// unsure is the uncertainty, mm, beyond a sixth of the radius, from which a section is
// left out, and mostU that from which a stretch of them is, by noise and by what cannot be
// told in any section: half the way from a sharp edge to the flag level.
const (
	unsure = 0.20
	mostU  = 0.12
)

// unfit says why a scan cannot show edges, or nothing.
func unfit(p *prep.Preparation) string {
	switch {
	case p.Spacing > coarsest:
		return "the points lie too far apart to show how sharp an edge is"
	case p.Noise > noisiest:
		return "the scan is too noisy to show how sharp an edge is"
	}
	return ""
}

// mostUnread is the share of the way round from which too much is left out to say what a
// tool takes off everywhere. WHY the radius stands: an edge that is sharp is so whatever
// else there is.
const mostUnread = 0.5

const leftOut = "the margin could not be read most of the way round, and what lies above it may be gum"

// fewestInside is the fewest points of the preparation that can be judged.
const fewestInside = 200

// overCut is the depth by which a ball of radius R that reaches the crest of an edge
// of radius r and turn t cuts into the flanks' side:
//
//	(R - r)·(1 - cos t/2), 0 where R ≤ r.
//
// Its centre stands on the bisector at R from the crest, the crest r(1/cos t/2 - 1)
// from the corner of the flanks.
func overCut(p Place, tool float64) float64 {
	return max(tool-p.Arc, 0) * (1 - math.Cos(p.Turn/2))
}

// overArea is the area, in the section, that the ball takes off beside both flanks:
// between flank and circle, from the crest's round to where the circle has come back
// to the flank. With d the depth it is 2·⅔·d·√(2Rd) for d small against R, a parabola
// in place of the circle.
func overArea(depth, tool float64) float64 {
	return 4.0 / 3 * depth * math.Sqrt(2*tool*depth)
}

// summarise takes the values that hold over a stretch.
func (r *Result) summarise() {
	r.Radius = measure.Not("no edge stands out that could be sharp")
	r.Over, r.Volume = measure.Of(0, overU, measure.MM), measure.Of(0, overU, measure.MM3)
	over := 0.0
	var volume float64
	var all []stretchOf
	blurredAll := false
	for i := range r.Places {
		near, whole := r.along(i)
		pl := &r.Places[i]
		// Each section stands for its share of the stretch about it.
		volume += overArea(pl.Over, r.tool) * stretch / float64(len(near))
		if !whole {
			continue
		}
		at := measure.Place{At: pl.At, Normal: pl.Normal, Scan: r.scan}
		if s := middle(near, r.spacing); s.told < mostU+s.v/6 {
			s.at = at
			all = append(all, s)
		} else {
			blurredAll = true
		}
		var overs, us []float64
		for _, q := range near {
			overs = append(overs, q.Over)
			us = append(us, q.U*(1-math.Cos(q.Turn/2)))
		}
		if v := num.Median(overs); v > over {
			over = v
			r.Over = measure.Of(v, max(num.Median(us), overU), measure.MM).At(at)
		}
	}
	if v, u, at, ok := sharpest(all); ok {
		r.Radius = measure.Of(v, u, measure.MM).At(at)
	} else if blurredAll {
		r.Radius = measure.Not(blurred)
	}
	if r.unread > mostUnread {
		r.Over, r.Volume = measure.Not(leftOut), measure.Not(leftOut)
		return
	}
	// What was left out holds as much for its share as the rest of the way round, at the most.
	r.Volume = measure.Of(volume, max(0.3*volume, overU)+volume*r.unread/(1-r.unread), measure.MM3)
}

// overU is the least uncertainty of what the tool takes off, mm and mm³.
const overU = 0.02

// stretchOf is what a stretch of edge says: its median radius, the uncertainty of that, how
// well its sections can be told, which leaves out how the edge itself changes along it, and
// the standard deviation by noise, mm.
type stretchOf struct {
	v, u, told, noise float64
	at                measure.Place
}

// middle returns the median radius of the places along a stretch.
//
// Places count by how surely each is known, as a share of one radius for all, their plain
// median: a share of its own would let the wide ones outvote a sharp run, as the scatter
// goes with the radius. Sections of
// 0.6 mm overlap, so a stretch holds stretch/0.6 independent ones, and its median scatters
// by 1.25 of theirs over the root of that. How the radius changes along the edge is shape,
// of which a quarter of the stretch is the sharper by the difference to the lower quartile;
// that enters U.
//
// The round is seen at points a spacing apart, and not all along: a third of the spacing
// enters U, as phantoms show. What is fixed, a bound that a true arc reaches, adds to it.
// Points cannot tell a round of less than corner times their
// spacing from a corner: below that the radius is an upper bound, and U reaches to zero.
func middle(ps []*Place, spacing float64) stretchOf {
	w := make([]float64, len(ps)) // ps is in order of the radius
	var fixed []float64
	sum, spread := 0.0, 0.0
	usual := ps[len(ps)/2].Radius + spacing
	for i, p := range ps {
		rel := p.scatter / usual
		w[i] = 1 / (rel*rel + alikeKnown*alikeKnown)
		sum += w[i]
		spread += w[i] * w[i] * p.scatter * p.scatter
		fixed = append(fixed, p.fixed)
	}
	at := func(share float64) float64 {
		acc := 0.0
		for i := range ps {
			if acc += w[i]; acc >= share*sum {
				return ps[i].Radius
			}
		}
		return ps[len(ps)-1].Radius
	}
	overlap := max(float64(len(ps))/(stretch/(2*alongReach)), 1)
	s := stretchOf{v: at(0.5), noise: 1.25 * math.Sqrt(spread*overlap) / sum}
	bound, chance := num.Median(fixed), math.Hypot(2*s.noise, spacing/3)
	s.told = math.Hypot(bound, chance)
	s.u = math.Hypot(bound+chance, s.v-at(0.25))
	if s.v < corner*spacing {
		s.u = max(s.u, s.v)
	}
	return s
}

// sharpest returns the least radius of all stretches. Of k stretches that are alike the
// least comes out low by about ¾·√(2·ln k) of their deviation by noise, which is put back:
// k counts those within two deviations of the least, which overlap as their middles lie
// seedApart apart.
func sharpest(all []stretchOf) (v, u float64, at measure.Place, ok bool) {
	if len(all) == 0 {
		return 0, 0, at, false
	}
	least := all[0]
	for _, s := range all[1:] {
		if s.v < least.v {
			least = s
		}
	}
	alike := 0
	for _, s := range all {
		if s.v < least.v+2*least.noise {
			alike++
		}
	}
	k := max(float64(alike)*seedApart/stretch, 1)
	return least.v + least.noise*0.75*math.Sqrt(2*math.Log(k)), least.u, least.at, true
}

// corner is the share of the spacing below which a round cannot be told from a corner: the
// points about it then see one chord of it.
const corner = 0.75

// alikeKnown is the scatter, as a share of the radius, below which sections are known
// alike.
const alikeKnown = 0.10

// along returns the places within half a stretch of place i on the same edge, itself
// included, sharpest first, and whether they reach over enough of it to speak for it.
func (r *Result) along(i int) (near []*Place, whole bool) {
	const turned = 0.7 // cosine of 45°: the edge goes on
	p := &r.Places[i]
	var out []*Place
	lo, hi := 0.0, 0.0
	for k := range r.Places {
		q := &r.Places[k]
		d := q.At.Sub(p.At)
		if d.Norm() > stretch/2 || math.Abs(q.Along.Dot(p.Along)) < turned {
			continue
		}
		s := d.Dot(p.Along)
		if across := d.AddScaled(-s, p.Along).Norm(); across > 0.5*math.Abs(s)+0.15 {
			continue
		}
		lo, hi = min(lo, s), max(hi, s)
		out = append(out, q)
	}
	slices.SortStableFunc(out, func(a, b *Place) int {
		switch {
		case a.Radius < b.Radius:
			return -1
		case a.Radius > b.Radius:
			return 1
		}
		return 0
	})
	return out, len(out) >= fewestPlaces && hi-lo >= stretch/2
}
