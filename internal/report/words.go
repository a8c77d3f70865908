package report

import (
	"regexp"
	"strings"

	"selvage/finding"
	"selvage/internal/since"
	"selvage/measure"
)

// Words is the catalogue of everything that a report says by itself. The texts of
// findings and the verdict's line come with the report.
type Words struct {
	Lang     string // of the page, such as "en"
	Decimal  string // decimal sign; empty: a point
	Text     map[string]string
	Reasons  map[string]string // why a measure was not made, by its English words; one that is not here stands as it is
	cautions []string
}

// num writes the numbers of a text with the catalogue's decimal sign.
func (w *Words) num(s string) string {
	if w.Decimal == "" || w.Decimal == "." {
		return s
	}
	return points.ReplaceAllString(s, "$1"+w.Decimal+"$2")
}

// Number writes a measured value with the catalogue's decimal sign.
func (w *Words) Number(v measure.Value) string { return tied(w.num(finding.Show(v))) }

// points are decimal points between digits.
var points = regexp.MustCompile(`([0-9])\.([0-9])`)

// Alt returns the sentence of a picture in the catalogue's language: english where that is
// its language, else what the catalogue says of the slot, and of an overview the line of the
// report.
func (w *Words) Alt(slot, english, line string) string {
	kind, _, _ := strings.Cut(slot, "-")
	alt, ok := w.Text["alt."+kind]
	switch {
	case w.Lang == "en":
		return english
	case ok && kind == "overview":
		return alt + " " + line
	}
	return alt
}

// In returns the catalogue of a language, English for one that is not known.
func In(lang string) *Words {
	if lang == "de" {
		return German()
	}
	return English()
}

// reason says why a measure was not made.
func (w *Words) reason(english string) string {
	if s, ok := w.Reasons[english]; ok {
		return s
	}
	return english
}

// side names a side of a tooth.
func (w *Words) side(english string) string {
	if s, ok := w.Text["side."+english]; ok {
		return s
	}
	return english
}

// T returns a text; a key that is not there shows itself, so that nobody takes a
// gap for silence.
func (w *Words) T(key string) string {
	if s, ok := w.Text[key]; ok {
		return s
	}
	return "[" + key + "]"
}

// English is the first catalogue.
func English() *Words { return &Words{Lang: "en", Text: english()} }

func english() map[string]string {
	return map[string]string{
		"verdict.label":   "Verdict",
		"word.clear":      "Nothing to scan again",
		"word.scan-again": "Scan again", "word.ask-dentist": "Get the dentist", "word.not-checked": "Not checked",
		"banner.clear": "NO RESCAN", "banner.scan-again": "SCAN AGAIN", "banner.ask-dentist": "GET DENTIST",
		"banner.not-checked": "NOT CHECKED",

		"case": "case", "tooth": "tooth", "stage.preparation": "check before the gum is opened", "stage.final": "final check",
		"mouth": "This measures the files, not the mouth. The dentist decides after looking and probing.",
		"void":  "It is about the files listed below. A newer file makes it void.",

		"action.check-files": "Check the files", "action.scan-again": "Scan again", "action.open-margin": "Open the margin, then scan",
		"action.ask-dentist": "Dentist", "action.fill-in": "Fill in", "action.note": "Note",

		"next": "Then", "also": "Then, in this order", "dentist": "For the dentist", "fill": "Fill in before sending",
		"notes": "Worth knowing", "ignore": "Does not matter", "ignore.none": "",
		"since": "Since the check before", "since.new": "New", "since.worse": "Worse", "since.still": "Still there", "since.better": "Better, still there",
		"since.untold": "Not measured this time", "since.resolved": "Put right",
		"ignore.why": "Nothing to scan again for this.",

		"room.least": "least room to the opposing tooth", "room.none": "Room to the opposing tooth not measured",
		"key":          "How to read the pictures",
		"key.captured": "margin, seen", "key.dashed": "margin, doubtful or bridged", "key.beads": "margin, not in the scan",
		"key.arc": "stretch that cannot be read", "key.dots": "nothing was scanned here", "key.hatch": "inner side of the scan",
		"key.scan": "scan again", "key.ask": "dentist decides", "key.note": "worth knowing",

		"measured": "Measured", "measured.none": "Nothing was measured on this tooth.",
		"col.measure": "Measure", "col.value": "Value ± uncertainty", "col.limit": "Your table", "col.place": "Place", "col.table": "table:", "your.table": "your table",
		"u.note":       "± is the expanded uncertainty, k = 2: about 95 of 100 such intervals hold the true value.",
		"not-measured": "Not measured", "why": "why",
		"files": "Files", "files.role": "shows", "files.triangles": "triangles", "files.spacing": "spacing", "files.noise": "noise",
		"files.moved": "laid on the working scan, ±%s mm at the tooth", "files.flipped": "was inside out, put right",
		"files.sha": "SHA-256", "assumed": "Assumed",
		"sources": "Sources of the limits",
		"limits":  "Limits", "limits.version": "version", "limits.edited": "Edited by this practice",
		"limits.unedited": "the table that comes with the program",
		"limits.unknown":  "compare the version with your copy",
		"cautions":        "Cautions", "made.by": "Made by", "schema": "form",
		"margin": "Margin", "margin.round": "runs round the tooth", "margin.open": "does not close",
		"margin.length": "long", "margin.unclear": "unclear", "margin.missing": "not in the scan",
		"advised": "advised", "orMore": "or more", "orLess": "or less",

		"role.preparation": "prepared tooth", "role.working": "working arch", "role.opposing": "opposing arch",
		"role.bite": "bite", "role.before": "before treatment", "role.design": "returned crown", "role.": "not known",

		"finish.knife-edge": "knife edge", "finish.chamfer": "chamfer", "finish.heavy-chamfer": "heavy chamfer",
		"finish.shoulder": "shoulder", "finish.sloped-shoulder": "sloped shoulder", "finish.mixed": "changes round the tooth",

		"zone.functional": "cusps that hold the bite", "zone.non-functional": "other cusps", "zone.fossa": "fossa",
		"zone.incisal": "biting edge", "zone.lingual-front": "inner face",

		"group.room": "Room and bite", "group.margin": "Margin and finish line", "group.shape": "Walls and path of draw",

		"m.clearance_patch_min_mm":       "Least room over 0.5 mm²",
		"m.clearance_min_mm":             "Least room anywhere",
		"m.clearance_functional_min_mm":  "Least room, functional cusps",
		"m.clearance_along_axis_min_mm":  "Least room, along path of draw",
		"m.clearance_in_movement_min_mm": "Least room in jaw movements",
		"m.reduction_occlusal_min_mm":    "Least reduction, biting surface",
		"m.reduction_axial_min_mm":       "Least reduction, walls",
		"m.residual_um":                  "Fit of the bite scan",
		"m.shift_at_tooth_mm":            "Bite scan moves the opposing tooth by",
		"m.penetration_max_mm":           "Deepest overlap of the arches",
		"m.contacts":                     "Contacts",
		"m.margin":                       "Margin", "m.margin_length": "Length of the margin",
		"m.margin_unclear": "of it unclear", "m.margin_missing": "of it not in the scan",
		"m.finish_line": "Finish line", "m.finish_width_min": "Finish line, least width", "m.finish_width_median": "Finish line, median width",
		"m.margin_roughness_um":         "Margin wavers by",
		"m.root_seen_min_mm":            "Least root seen below the margin",
		"m.sulcus_width_min_mm":         "Least gap between margin and gum",
		"m.margin_spacing_mm":           "Spacing of points at the margin",
		"m.gap_mesial_min_mm":           "Gap to the mesial adjacent tooth",
		"m.gap_distal_min_mm":           "Gap to the distal adjacent tooth",
		"m.insertion_axis":              "Path of draw",
		"m.convergence_mesiodistal_deg": "Taper, mesial to distal", "m.convergence_buccolingual_deg": "Taper, buccal to lingual",
		"m.convergence_mean_deg": "Taper, mean", "m.wall_height_min_mm": "Lowest wall",
		"m.height_to_base": "Height to base", "m.resistance": "Share of wall against tipping",
		"m.undercut_depth_max_mm": "Deepest undercut", "m.undercut_area_mm2": "Area of undercut",
		"m.path_overlap_mm": "Overlap with adjacent teeth", "m.edge_radius_min_mm": "Sharpest edge, radius",
		"m.margin_by_hand": "of it set by hand", "m.pins_left_out": "Points set by hand, too far off to use", "m.margin_accepted": "Line accepted by",
		"m.tool_thins_max_mm": "Milling tool thins the crown by", "m.tool_removes_mm3": "Milling tool takes off inside",
	}
}

// cautionsEnglish are the standing cautions, in the order in which they matter at
// the chair.
func cautionsEnglish() []string {
	return []string{
		"It measures the files, not the mouth. The dentist decides after looking and probing.",
		"It cannot see under tissue, blood, saliva, or surface that a program filled in.",
		"Accuracy is limited by scan, bite and mesh. Every number carries its ±; what cannot be told is “not measured”.",
		"Room is measured with the teeth closed. Jaw movement, loose teeth and cement space are left out unless the line says so.",
		"The limits come from your own table. Its version is printed here; each row has its source and date.",
		"It does not detect decay, cracks, an opened pulp, faults of a material, or allergy.",
		"Timers remind. Follow the product’s instructions for use.",
		"Original files are never altered. Files made from them are labelled so.",
		"Not for diagnosis. It does not replace your law on who may do what.",
		"How often this version misses something or calls in vain is in its accuracy page (doc/accuracy.md).",
	}
}

// Cautions returns the standing cautions of a catalogue.
func (w *Words) Cautions() []string {
	if w.cautions != nil {
		return w.cautions
	}
	return cautionsEnglish()
}

// saidOf returns the text of a finding that changed, in the words of the report that has it.
func saidOf(c since.Change) string {
	if c.Is != nil {
		return c.Is.Text
	}
	return c.Was.Text
}
