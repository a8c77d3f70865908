package finding

import (
	"slices"
)

// English returns the English catalogue. Its sentences are short, name the place,
// and speak of the scan, not of the mouth: the program measures the file, and the
// dentist decides.
func English() Catalogue {
	return Catalogue{Language: "en", Decimal: ".", Texts: englishTexts(), Words: englishWords()}
}

func sortedKeys(m map[string]string) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func englishTexts() map[string]string {
	texts := map[string]string{
		"line.clear":          "Nothing to scan again. For the dentist to review.",
		"line.scan-again":     "Scan again: {spot}",
		"line.open-margin":    "Open the margin, then scan again: {spot}",
		"line.ask-dentist":    "Get the dentist: {spot}",
		"line.not-checked":    "Not checked: {spot}",
		"line.more":           "{spot} and {count} more",
		"too-close":           "This is too close to the limit to call.",
		"hold.straight":       "Hold the tip straight above.",
		"on":                  ", on the {face}",
		"limit.asks.below":    "Your table asks for {limit} or more.",
		"limit.asks.above":    "Your table allows {limit}.",
		"limit.advises.below": "Your table advises {limit} or more.",
		"limit.advises.above": "Your table advises {limit} or less.",

		"why.unit":           "the {name} came in {unit} where {want} was expected",
		"why.no-limit":       "there is no limit for the {name} in the table",
		"why.no-material":    "the prescription names no material, so the {name} has no limit",
		"why.no-cement":      "the prescription names no cement, so the {name} has no limit",
		"why.kind":           "this version measures crowns, not this kind of work ({kind})",
		"why.no-restoration": "the case names no tooth",
		"why.not-measured":   "{name} not measured",
		"why.margin-open":    "the margin does not run round the tooth",

		"place.margin":                   "{surface} margin",
		"place.margin.whole":             "margin",
		"place.margin-all-round":         "margin, nearly all round",
		"place.bite":                     "bite",
		"place.arch":                     "{arch} up to {to}",
		"place.preparation":              "prepared tooth",
		"place.neighbour":                "{neighbour}",
		"place.finish-line":              "{surface} finish line",
		"place.finish-line.whole":        "finish line",
		"place.zone.functional":          "{surface} cusp",
		"place.zone.non-functional":      "{surface} cusp",
		"place.zone.fossa":               "middle of the biting surface",
		"place.zone.incisal":             "biting edge",
		"place.zone.lingual-front":       "{surface} side",
		"place.zone.axial":               "{surface} wall",
		"place.zone.margin":              "{surface} margin",
		"place.region.preparation":       "{surface} side of the prepared tooth",
		"place.region.preparation.whole": "prepared tooth",
		"place.region.margin":            "{surface} margin",
		"place.region.margin.whole":      "margin",
		"place.region.contact":           "{side} contact area",
		"place.region.neighbour":         "{side} neighbour",
		"place.region.tissue":            "gum on the {surface} side",
		"place.region.tissue.whole":      "gum around the tooth",
		"place.region.arch":              "arch forward to the canine",
		"place.region.opposing":          "opposing tooth",
		"place.region.terminal":          "area behind the last tooth",
		"place.region.twin":              "same tooth on the other side",
	}
	for _, part := range []map[string]string{englishHold(), englishFiles(), englishCapture(), englishShape(), englishPaper()} {
		for k, v := range part { // into a map: order does not matter
			texts[k] = v
		}
	}
	return texts
}

// englishHold says how to hold the scanner, one sentence each: a report cuts the last
// sentence off the advice to show it beside the picture.
func englishHold() map[string]string {
	return map[string]string{
		"hold.tilted":            "Hold the tip tilted by {tilt}, from the {from} side: {move}.",
		"hold.then.tilted":       ", then by {tilt} from the {from} side.",
		"hold.then.straight":     ", then straight above.",
		"hold.part":              "A part of it no direction sees: retract and dry before you scan.",
		"hold.and":               "and",
		"hold.move.cheek":        "roll it out towards the cheek",
		"hold.move.cheek.front":  "bring it out over the lip and raise the handle",
		"hold.move.tongue":       "roll it in over the tongue",
		"hold.move.tongue.upper": "roll it in towards the palate",
		"hold.move.tongue.front": "bring it in behind the teeth and lower the handle",
		"hold.move.mesial":       "draw it forward of the tooth and tip it to look back",
		"hold.move.mesial.front": "move it to the middle of the mouth and roll it to look outwards",
		"hold.move.distal":       "push it back past the tooth and tip it to look forward",
		"hold.move.distal.front": "move it past the tooth and roll it to look to the middle of the mouth",
		"hold.none.shadowed":     "No way of holding the tip sees this spot past the teeth and the gum: retract and dry, or have the teeth separated, then scan.",
		"hold.none.no-room":      "The tip finds no room to see this spot: open wider, retract the cheek, or take a smaller tip.",
	}
}

func englishFiles() map[string]string {
	return map[string]string{
		"file-unreadable.text":   "The file {file} cannot be read: {why}.",
		"file-unreadable.advice": "Export this scan once more and add it again.",
		"file-unreadable.spot":   "{file} cannot be read",

		"scan-mirrored.text":   "The file {file} is a mirror image: it is inside out and shows the wrong side for this tooth.",
		"scan-mirrored.advice": "Export it again without mirroring. Do not go on with this file.",
		"scan-mirrored.spot":   "{file} is a mirror image",

		"wrong-arch.text":   "The file {file} shows the other jaw than it should.",
		"wrong-arch.advice": "Look whether the upper and lower files were swapped, and whether the tooth number is right.",
		"wrong-arch.spot":   "{file} shows the other jaw",

		"tooth-not-found.text":   "No prepared tooth was found at {tooth}.",
		"tooth-not-found.advice": "Look at the tooth number and at the file, or tap the prepared tooth.",
		"tooth-not-found.spot":   "no prepared tooth found at {tooth}",

		"tooth-differs.text":             "The prescription says {tooth}. The scan shows a preparation at {found}.",
		"tooth-differs.advice":           "Look at the tooth number in the prescription and at the file.",
		"tooth-differs.elsewhere.text":   "The prescription says {tooth}. The scan shows the preparation in another place of the arch, or on the other side.",
		"tooth-differs.elsewhere.advice": "Look at the tooth number in the prescription and at the file.",
		"tooth-differs.elsewhere.spot":   "the prescription says {tooth}, the scan shows another tooth",
		"tooth-differs.spot":             "the prescription says {tooth}, the scan shows {found}",

		"other-mouth.text":         "The {a} and the {b} do not match: teeth that were not touched lie {value} apart. {asks}",
		"other-mouth.advice":       "Look whether both files belong to this patient.",
		"other-mouth.close.text":   "The {a} and the {b} may not match: teeth that were not touched lie {value} apart. {asks}",
		"other-mouth.close.advice": "Look whether both files belong to this patient.",
		"other-mouth.spot":         "the {a} and the {b} do not match",

		"scan-outdated.text":   "The file {file} is an old version. {newer} is newer.",
		"scan-outdated.advice": "Check the case with the newer file.",
		"scan-outdated.spot":   "{file} is an old version",

		"scan-missing.working.text":    "There is no scan of the arch that holds the prepared tooth.",
		"scan-missing.working.advice":  "Scan this arch, or add its file.",
		"scan-missing.working.spot":    "no working arch",
		"scan-missing.opposing.text":   "There is no scan of the opposing arch. Without it nothing can be said about the bite and the room for the crown.",
		"scan-missing.opposing.advice": "Scan the opposing teeth, or add their file.",
		"scan-missing.opposing.spot":   "no opposing arch",

		"units-unlikely.text":   "The size of {file} leaves a doubt about its unit. It was read as {units}.",
		"units-unlikely.advice": "Look whether the scanner exports in this unit.",

		"file-type-differs.text":   "The file {file} is named .{said} but holds {is}. It was read as {is}.",
		"file-type-differs.advice": "Give it the right ending before you send it.",

		"fragments.text":   "Loose pieces: {pieces}. Gaps away from what the crown needs: {gaps}. They do not matter.",
		"fragments.advice": "Leave them. There is nothing to scan again for this.",

		"surface-noisy.text":   "The {scan} is rough: {value}, one standard deviation. {asks}",
		"surface-noisy.advice": "Look at the lens and the tip, and whether the scanner was calibrated.",

		"limits-edited.text":   "This practice uses limits of its own. Changed rows: {count}. {changes}.",
		"limits-edited.advice": "Keep in mind that this report does not follow the shipped table.",
	}
}

func englishCapture() map[string]string {
	return map[string]string{
		"arch-too-short.text":   "The {arch} does not reach {to}.",
		"arch-too-short.advice": "Scan on to {to}.",

		"surface-missing.text":   "There is a hole of {amount} at the {spot}.",
		"surface-missing.advice": "Dry and scan the {spot} again.",

		"contact-area-missing.text":   "{amount} is missing where the crown will touch its neighbour: {spot}.",
		"contact-area-missing.advice": "Dry between the teeth and scan the side of the neighbour that faces the gap.",

		"surface-doubled.text":   "Two layers of surface lie on each other at the {spot}, over {amount}. The parts of the scan do not fit together there.",
		"surface-doubled.advice": "Delete this part of the scan and scan the {spot} again.",

		"surface-invented.text":   "The surface at the {spot} looks filled in by a program, over {amount}. It was not scanned.",
		"surface-invented.advice": "Turn hole filling off and scan the {spot} again.",

		"margin-not-captured.text":           "The scan ends at the margin for {amount}: {spot}.",
		"margin-not-captured.advice":         "Dry and scan the {spot} again, with some root below the line.",
		"margin-not-captured.tried.spot":     "{spot} still unclear after {tries} tries",
		"margin-not-captured.tried.text":     "The scan still ends at the margin for {amount} after {tries} tries: {spot}.",
		"margin-not-captured.tried.advice":   "The dentist can choose: a second cord, wait, a conventional impression of this tooth, or accept with a note.",
		"margin-not-captured.bridged.text":   "Short stretches of the margin are not in the scan: number {count}, together {amount}. They are drawn dashed.",
		"margin-not-captured.bridged.advice": "Nothing to do unless the dentist wants these places sharper.",

		"margin-unclear.text":           "{amount} of the {spot} cannot be seen. Tissue, fluid or paste lies over it.",
		"margin-unclear.advice":         "Stop any bleeding, dry, pack again, then scan the {spot}.",
		"margin-unclear.tried.spot":     "{spot} still unclear after {tries} tries",
		"margin-unclear.tried.text":     "{amount} of the {spot} still cannot be seen after {tries} tries.",
		"margin-unclear.tried.advice":   "The dentist can choose: a second cord, wait, a conventional impression of this tooth, or accept with a note.",
		"margin-unclear.bridged.text":   "Short stretches of the margin cannot be seen: number {count}, together {amount}. They are drawn dashed.",
		"margin-unclear.bridged.advice": "Nothing to do unless the dentist wants these places sharper.",

		"margin-two-lines.text":         "Two lines could be the margin at the {spot}. They lie {amount} apart.",
		"margin-two-lines.advice":       "Dry, pack again, then scan the {spot}.",
		"margin-two-lines.tried.spot":   "{spot} still unclear after {tries} tries",
		"margin-two-lines.tried.text":   "Two lines could still be the margin at the {spot} after {tries} tries. They lie {amount} apart.",
		"margin-two-lines.tried.advice": "The dentist can choose: mark the line, a second cord, wait, a conventional impression of this tooth, or accept with a note.",

		"sampling-coarse.text":   "The points of the scan at the margin lie {amount} apart. {asks}",
		"sampling-coarse.advice": "Scan the margin again slowly and close, at the finest setting.",

		"bite-differs.text":            "The bite scan and the two arches do not agree: the opposing tooth would move by {value} at the prepared tooth. {asks}",
		"bite-differs.advice":          "Ask the patient to close fully and scan the bite again.",
		"bite-differs.residual.text":   "The bite scan does not lie on the two arches: {value} off. {asks}",
		"bite-differs.residual.advice": "Ask the patient to close fully and scan the bite again.",

		"bite-penetrates.text":   "The arches run {value} into each other. {asks}",
		"bite-penetrates.advice": "Ask the patient to close fully and scan the bite again.",

		"bite-open.text":           "{neighbour} does not meet the opposing tooth: {value} open. {asks}",
		"bite-open.advice":         "Ask the patient to close fully, try shim stock beside the prepared tooth, and scan the bite again.",
		"bite-open.held.text":      "{neighbour} touched before and does not now: {value} open. {asks}",
		"bite-open.held.advice":    "Ask the patient to close fully, try shim stock there, and scan the bite again.",
		"bite-open.nowhere.text":   "No tooth meets another in this bite.",
		"bite-open.nowhere.advice": "Ask the patient to close fully and scan the bite again.",

		"bite-unsupported.text":   "The prepared tooth is the last one. Nothing touches behind it, so the bite can tip.",
		"bite-unsupported.advice": "Compare with the bite before treatment, or with shim stock on the other side.",
	}
}

func englishShape() map[string]string {
	return map[string]string{
		"clearance-low.text":           "The least room measured at the {spot} is {value}. {asks}",
		"clearance-low.advice":         "Compare with the mouth. The dentist can take more off there or choose another material.",
		"clearance-low.reduced.text":   "The least room measured at the {spot} is {value}, although the tooth was reduced enough there. {asks}",
		"clearance-low.reduced.advice": "Look at the bite first, then at the opposing tooth: it may be overgrown.",
		"clearance-low.spot":           "{value} at the {spot}",

		"reduction-low.text":   "The least reduction measured at the {spot} is {value}, against the scan from before. {asks}",
		"reduction-low.advice": "Compare with the mouth and with the room to the opposing tooth. The dentist decides.",
		"reduction-low.spot":   "{value} taken off at the {spot}",

		"clearance-in-movement.text":   "Roughly, with average jaw movements, the least room at the {spot} is {value}. {asks}",
		"clearance-in-movement.advice": "Ask the patient to slide sideways and forward, and look.",

		"undercut.text":               "A part of the wall leans in by {value}, seen along the path of draw{on}. {asks}",
		"undercut.advice":             "Look from above with one eye. The dentist decides whether to smooth it.",
		"undercut.near-margin.text":   "The wall leans in by {value} close to the margin{on}. There a crown cannot be blocked out.",
		"undercut.near-margin.advice": "Look from above with one eye. The dentist decides whether to smooth it.",
		"undercut.shallow.text":       "A shallow undercut was measured, {value}{on}.",
		"undercut.shallow.advice":     "The laboratory will block it out.",
		"undercut.small.text":         "An undercut over a small area was measured, {value} deep{on}.",
		"undercut.small.advice":       "The laboratory will block it out.",
		"undercut.spot":               "{value} undercut{on}",

		"path-blocked.text":        "{neighbour} stands {value} in the way of the crown along its path. {asks}",
		"path-blocked.advice":      "The dentist can trim the neighbour or change the path.",
		"path-blocked.tilt.text":   "{neighbour} stands {value} in the way of the crown along its path. {asks}",
		"path-blocked.tilt.advice": "A path tilted by {tilt} would be free. The dentist decides.",
		"path-blocked.spot":        "{spot} in the way of the crown",

		"finish-line-narrow.text":   "The finish line is {value} wide at its narrowest{on}. {asks}",
		"finish-line-narrow.advice": "Compare with the mouth. The dentist can widen it or choose another material.",
		"finish-line-narrow.spot":   "{value} wide {spot}",

		"finish-line-differs.text":   "The finish line looks like {is}. The prescription says {asked}.",
		"finish-line-differs.advice": "Tell the laboratory which one is meant.",

		"neighbour-contour.text":   "{neighbour} bulges {value} over the space of the crown. {asks}",
		"neighbour-contour.advice": "The dentist can reshape the neighbour a little before the final scan.",
		"neighbour-contour.spot":   "{spot} bulges over the crown",

		"neighbour-damaged.text":   "{neighbour} lost {value} on the side of the gap since the scan from before. {asks}",
		"neighbour-damaged.advice": "Look at this tooth and tell the patient. Polish it before the final scan.",
		"neighbour-damaged.spot":   "{spot} lost {value}",

		"gap-narrow.text":   "From the margin to {neighbour} there are {value}. {asks}",
		"gap-narrow.advice": "Scanner and die need this gap. The dentist can widen it.",
		"gap-narrow.spot":   "{value} to {spot}",

		"resistance-low.text":                  "At the weakest fulcrum {value} of the opposite wall keeps the crown from tipping off. {asks}",
		"resistance-low.advice":                "With conventional cement the form must hold the crown. The dentist can add a groove or use adhesive cement.",
		"resistance-low.cement-unknown.text":   "At the weakest fulcrum {value} of the opposite wall keeps the crown from tipping off. {asks}",
		"resistance-low.cement-unknown.advice": "The prescription names no cement. With conventional cement the form must hold the crown.",
		"resistance-low.spot":                  "little hold against tipping",

		"convergence-high.text":   "The walls converge by {value}. {asks}",
		"convergence-high.advice": "Most prepared molars converge more than the books ask. Think of it when choosing the cement.",

		"convergence-low.text":   "The walls are nearly parallel: {value}. {asks}",
		"convergence-low.advice": "Look for an undercut.",

		"walls-short.text":         "The lowest wall is {value} high{on}. {asks}",
		"walls-short.advice":       "Think of it when choosing the cement.",
		"walls-short.ratio.text":   "The walls are {value} times as high as the base is wide. {asks}",
		"walls-short.ratio.advice": "Think of it when choosing the cement.",

		"sharp-edge.text":   "The sharpest edge on the preparation has a radius of {value}. {asks}",
		"sharp-edge.advice": "A milling tool cannot follow it. The dentist may round it.",

		"margin-rough.text":   "The margin wavers by {value}. {asks}",
		"margin-rough.advice": "A smoother line is easier to fit. The dentist may go over it with a fine bur.",

		"root-not-seen.text":   "Only {amount} of tooth is seen below the margin{on}. {asks}",
		"root-not-seen.advice": "If you scan again, scan a little further down there.",

		"sulcus-narrow.text":   "The gap between margin and gum is {value} at its narrowest{on}. {asks}",
		"sulcus-narrow.advice": "If you scan again, open it there first.",

		"contrast-colour.text":   "{amount} inside the margin has the colour of tissue or blood. {asks}",
		"contrast-colour.advice": "Look whether blood or tissue lies on the tooth there.",

		"ceramic-weak.text":   "{material} reaches about {strength} MPa. ISO 6872 asks for {need} MPa for a crown with this cement.",
		"ceramic-weak.advice": "Look at the maker's value, or choose adhesive cement.",
	}
}

func englishPaper() map[string]string {
	return map[string]string{
		"prescription-incomplete.text":   "The prescription lacks: {fields}.",
		"prescription-incomplete.advice": "Fill these in before you send the case.",

		"date-impossible.no-such-day.text":            "{field} is {date}. There is no such day.",
		"date-impossible.no-such-day.advice":          "Put the date right.",
		"date-impossible.due-before-prepared.text":    "The crown is due on {due}, before the tooth is prepared on {prepared}.",
		"date-impossible.due-before-prepared.advice":  "Put the dates right.",
		"date-impossible.seat-before-prepared.text":   "The crown is to be seated on {seat}, before the tooth is prepared on {prepared}.",
		"date-impossible.seat-before-prepared.advice": "Put the dates right.",
		"date-impossible.seat-before-due.text":        "The crown is to be seated on {seat}, before it is due on {due}.",
		"date-impossible.seat-before-due.advice":      "Book the seat visit after the due date.",
		"date-impossible.too-tight.text":              "Working days from the due date {due} to the seat date {seat}: {days}. Your table asks for {need}.",
		"date-impossible.too-tight.advice":            "Leave room for a late parcel: move the seat visit or the due date.",
	}
}

func englishWords() map[string]string {
	return map[string]string{
		"role.preparation": "scan of the prepared tooth", "role.working": "working arch", "role.opposing": "opposing arch",
		"role.bite": "bite scan", "role.before": "scan from before", "role.design": "returned crown", "role.": "scan",

		"zirconia-3y": "3Y zirconia", "zirconia-4y": "4Y zirconia", "zirconia-5y": "5Y zirconia",
		"lithium-disilicate": "lithium disilicate", "layered-ceramic": "layered ceramic", "metal-ceramic": "metal-ceramic",
		"noble-alloy": "noble alloy", "base-alloy": "base alloy", "resin-composite": "resin composite",
		"pmma-provisional": "PMMA", "leucite": "leucite ceramic",

		"knife-edge": "a knife edge", "chamfer": "a chamfer", "heavy-chamfer": "a heavy chamfer", "shoulder": "a shoulder",
		"sloped-shoulder": "a sloped shoulder", "mixed": "several kinds",

		"measure.penetration_max_mm": "overlap of the arches", "measure.contacts": "contacts of the bite",
		"measure.residual_um": "fit of the bite scan", "measure.shift_at_tooth_mm": "shift of the bite",
		"measure.missing_surface": "missing surface", "measure.margin": "margin", "measure.contact_areas": "contact areas",
		"measure.insertion_axis": "path of draw", "measure.undercut_depth_max_mm": "undercut",
		"measure.undercut_area_mm2": "undercut", "measure.path_overlap_mm": "path between the neighbours",
		"measure.clearance_patch_min_mm": "room for the crown", "measure.reduction_occlusal_min_mm": "reduction",
		"measure.clearance_in_movement_min_mm": "room in movement",
		"measure.convergence_mean_deg":         "convergence", "measure.wall_height_min_mm": "wall height",
		"measure.height_to_base": "height to base", "measure.resistance": "resistance", "measure.finish_line": "finish line",

		"field.kind": "kind of restoration", "field.material": "material", "field.cement": "cement",
		"field.finish_line": "finish line", "field.made_by": "who makes it", "field.shade.guide": "shade guide",
		"field.shade.body": "shade", "field.shade.stump": "stump shade", "field.contacts.mesial": "mesial contact",
		"field.contacts.distal": "distal contact", "field.occlusion.scheme": "occlusal scheme",
		"field.occlusion.opposing_material": "opposing material", "field.if_space_short": "what to do if space is short",
		"field.dates.prepared": "preparation date", "field.dates.due": "due date", "field.dates.seat": "seat date",
		"field.prescriber.name": "dentist", "field.prescriber.licence": "licence number",
		"field.laboratory.name": "laboratory", "field.laboratory.address": "laboratory address",
		"field.patient.reference": "patient reference", "field.case": "case number",
	}
}
