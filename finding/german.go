package finding

import "selvage/tooth"

// German returns the German catalogue. German inflects, so a place stands after a colon
// or in brackets, never inside a sentence; sides stand behind their noun.
func German() Catalogue {
	return Catalogue{Language: "de", Decimal: ",", Numbers: tooth.FDI, Texts: germanTexts(), Words: germanWords()}
}

// Catalogues lists the catalogues, English first.
func Catalogues() []Catalogue { return []Catalogue{English(), German()} }

func germanTexts() map[string]string {
	texts := map[string]string{
		"line.clear":          "Nichts nachzuscannen. Die Zahnärztin oder der Zahnarzt sieht es an.",
		"line.scan-again":     "Nachscannen: {spot}",
		"line.open-margin":    "Rand freilegen, dann nachscannen: {spot}",
		"line.ask-dentist":    "Zahnarzt holen: {spot}",
		"line.not-checked":    "Nicht geprüft: {spot}",
		"line.more":           "{spot} und {count} weitere",
		"too-close":           "Das liegt zu nahe an der Grenze, um es zu entscheiden.",
		"hold.straight":       "Die Spitze gerade darüber halten.",
		"on":                  " ({face})",
		"limit.asks.below":    "Ihre Tabelle verlangt {limit} oder mehr.",
		"limit.asks.above":    "Ihre Tabelle lässt {limit} zu.",
		"limit.advises.below": "Ihre Tabelle rät zu {limit} oder mehr.",
		"limit.advises.above": "Ihre Tabelle rät zu {limit} oder weniger.",

		"why.unit":           "{name}: kam in {unit}, erwartet war {want}",
		"why.no-limit":       "{name}: in der Tabelle steht keine Grenze",
		"why.no-material":    "{name}: der Auftrag nennt keinen Werkstoff, also gibt es keine Grenze",
		"why.no-cement":      "{name}: der Auftrag nennt keinen Zement, also gibt es keine Grenze",
		"why.kind":           "diese Version vermisst Kronen, nicht diese Arbeit ({kind})",
		"why.no-restoration": "der Fall nennt keinen Zahn",
		"why.not-measured":   "{name}: nicht gemessen",
		"why.margin-open":    "der Rand läuft nicht um den Zahn herum",

		"place.margin":                   "Rand {surface}",
		"place.margin.whole":             "Rand",
		"place.margin-all-round":         "Rand fast ringsum",
		"place.bite":                     "Biss",
		"place.arch":                     "{arch} bis {to}",
		"place.preparation":              "präparierter Zahn",
		"place.neighbour":                "{neighbour}",
		"place.finish-line":              "Präparationsgrenze {surface}",
		"place.finish-line.whole":        "Präparationsgrenze",
		"place.zone.functional":          "Höcker {surface}",
		"place.zone.non-functional":      "Höcker {surface}",
		"place.zone.fossa":               "Mitte der Kaufläche",
		"place.zone.incisal":             "Schneidekante",
		"place.zone.lingual-front":       "Seite {surface}",
		"place.zone.axial":               "Wand {surface}",
		"place.zone.margin":              "Rand {surface}",
		"place.region.preparation":       "präparierter Zahn {surface}",
		"place.region.preparation.whole": "präparierter Zahn",
		"place.region.margin":            "Rand {surface}",
		"place.region.margin.whole":      "Rand",
		"place.region.contact":           "Kontaktfläche {side}",
		"place.region.neighbour":         "Nachbar {side}",
		"place.region.tissue":            "Zahnfleisch {surface}",
		"place.region.tissue.whole":      "Zahnfleisch um den Zahn",
		"place.region.arch":              "Zahnbogen nach vorn bis zum Eckzahn",
		"place.region.opposing":          "Gegenzahn",
		"place.region.terminal":          "Bereich hinter dem letzten Zahn",
		"place.region.twin":              "gleicher Zahn der anderen Seite",
	}
	for _, part := range []map[string]string{germanHold(), germanFiles(), germanCapture(), germanShape(), germanPaper()} {
		for k, v := range part { // into a map: order does not matter
			texts[k] = v
		}
	}
	return texts
}

// germanHold says how to hold the scanner, one sentence each.
func germanHold() map[string]string {
	return map[string]string{
		"hold.tilted":            "Die Spitze um {tilt} kippen, Blick von {from}: {move}.",
		"hold.then.tilted":       ", danach um {tilt} von {from}.",
		"hold.then.straight":     ", danach gerade darüber.",
		"hold.and":               "und",
		"hold.move.cheek":        "zur Wange hin ausrollen",
		"hold.move.cheek.front":  "über die Lippe herausführen und den Griff heben",
		"hold.move.tongue":       "über die Zunge hin einrollen",
		"hold.move.tongue.upper": "zum Gaumen hin einrollen",
		"hold.move.tongue.front": "hinter die Zähne führen und den Griff senken",
		"hold.move.mesial":       "vor den Zahn ziehen und nach hinten blicken lassen",
		"hold.move.mesial.front": "zur Mitte des Mundes führen und nach außen rollen",
		"hold.move.distal":       "hinter den Zahn schieben und nach vorn blicken lassen",
		"hold.move.distal.front": "am Zahn vorbei führen und zur Mitte des Mundes rollen",
		"hold.part":              "Einen Teil davon sieht keine Haltung: vor dem Scannen abhalten und trocknen.",
		"hold.none.shadowed":     "Keine Haltung der Spitze sieht diese Stelle an Zähnen und Zahnfleisch vorbei: abhalten und trocknen, oder die Zähne separieren lassen, dann scannen.",
		"hold.none.no-room":      "Die Spitze findet keinen Platz, um diese Stelle zu sehen: weiter öffnen, die Wange abhalten oder eine kleinere Spitze nehmen.",
	}
}

func germanFiles() map[string]string {
	return map[string]string{
		"file-unreadable.text":   "Die Datei {file} ist nicht zu lesen: {why}.",
		"file-unreadable.advice": "Diesen Scan nochmals exportieren und neu hinzufügen.",
		"file-unreadable.spot":   "{file} ist nicht zu lesen",

		"scan-mirrored.text":   "Die Datei {file} ist ein Spiegelbild: sie ist umgestülpt und zeigt die falsche Seite für diesen Zahn.",
		"scan-mirrored.advice": "Ohne Spiegelung nochmals exportieren. Mit dieser Datei nicht weitermachen.",
		"scan-mirrored.spot":   "{file} ist ein Spiegelbild",

		"wrong-arch.text":   "Die Datei {file} zeigt den anderen Kiefer, als sie sollte.",
		"wrong-arch.advice": "Nachsehen, ob Ober- und Unterkiefer vertauscht sind und ob die Zahnnummer stimmt.",
		"wrong-arch.spot":   "{file} zeigt den anderen Kiefer",

		"tooth-not-found.text":   "Kein präparierter Zahn gefunden an der Stelle von {tooth}.",
		"tooth-not-found.advice": "Die Zahnnummer und die Datei ansehen, oder den präparierten Zahn antippen.",
		"tooth-not-found.spot":   "kein präparierter Zahn gefunden: {tooth}",

		"tooth-differs.text":             "Der Auftrag sagt {tooth}. Der Scan zeigt eine Präparation an {found}.",
		"tooth-differs.advice":           "Die Zahnnummer im Auftrag und die Datei ansehen.",
		"tooth-differs.elsewhere.text":   "Der Auftrag sagt {tooth}. Der Scan zeigt die Präparation an anderer Stelle des Zahnbogens oder auf der anderen Seite.",
		"tooth-differs.elsewhere.advice": "Die Zahnnummer im Auftrag und die Datei ansehen.",
		"tooth-differs.elsewhere.spot":   "der Auftrag sagt {tooth}, der Scan zeigt einen anderen Zahn",
		"tooth-differs.spot":             "der Auftrag sagt {tooth}, der Scan zeigt {found}",

		"other-mouth.text":         "Diese beiden passen nicht zusammen: {a} und {b}. Unberührte Zähne liegen {value} auseinander. {asks}",
		"other-mouth.advice":       "Nachsehen, ob beide Dateien von diesem Patienten sind.",
		"other-mouth.close.text":   "Diese beiden passen vielleicht nicht zusammen: {a} und {b}. Unberührte Zähne liegen {value} auseinander. {asks}",
		"other-mouth.close.advice": "Nachsehen, ob beide Dateien von diesem Patienten sind.",
		"other-mouth.spot":         "{a} und {b} passen nicht zusammen",

		"scan-outdated.text":   "Die Datei {file} ist eine alte Fassung. {newer} ist neuer.",
		"scan-outdated.advice": "Den Fall mit der neueren Datei prüfen.",
		"scan-outdated.spot":   "{file} ist eine alte Fassung",

		"scan-missing.working.text":    "Es gibt keinen Scan des Zahnbogens mit dem präparierten Zahn.",
		"scan-missing.working.advice":  "Diesen Zahnbogen scannen oder seine Datei hinzufügen.",
		"scan-missing.working.spot":    "kein Arbeitskiefer",
		"scan-missing.opposing.text":   "Es gibt keinen Scan des Gegenkiefers. Ohne ihn ist über Biss und Platz für die Krone nichts zu sagen.",
		"scan-missing.opposing.advice": "Die Gegenzähne scannen oder ihre Datei hinzufügen.",
		"scan-missing.opposing.spot":   "kein Gegenkiefer",

		"units-unlikely.text":   "Die Größe von {file} lässt Zweifel an der Einheit. Gelesen wurde sie als {units}.",
		"units-unlikely.advice": "Nachsehen, ob der Scanner in dieser Einheit exportiert.",

		"file-type-differs.text":   "Die Datei {file} heißt .{said}, enthält aber {is}. Gelesen wurde sie als {is}.",
		"file-type-differs.advice": "Vor dem Versenden die richtige Endung geben.",

		"fragments.text":   "Lose Stücke: {pieces}. Lücken abseits dessen, was die Krone braucht: {gaps}. Sie spielen keine Rolle.",
		"fragments.advice": "So lassen. Dafür ist nichts nachzuscannen.",

		"surface-noisy.text":   "Rau ist: {scan}, {value} Standardabweichung. {asks}",
		"surface-noisy.advice": "Linse und Spitze ansehen, und ob der Scanner kalibriert ist.",

		"limits-edited.text":   "Diese Praxis verwendet eigene Grenzen. Geänderte Zeilen: {count}. {changes}.",
		"limits-edited.advice": "Bedenken, dass dieser Bericht nicht der mitgelieferten Tabelle folgt.",
	}
}

func germanCapture() map[string]string {
	const dentistChooses = "Die Zahnärztin oder der Zahnarzt kann wählen: zweiter Faden, warten, konventionelle Abformung dieses Zahnes, oder mit Vermerk annehmen."
	const bridged = "Nichts zu tun, außer diese Stellen sollen schärfer werden."
	const closeFully = "Ganz schließen lassen und den Biss nochmals scannen."
	return map[string]string{
		"arch-too-short.text":   "Der Scan reicht nicht weit genug: {arch} bis {to}.",
		"arch-too-short.advice": "Weiter scannen bis {to}.",

		"surface-missing.text":   "Ein Loch von {amount}: {spot}.",
		"surface-missing.advice": "Trocknen und nachscannen: {spot}.",

		"contact-area-missing.text":   "{amount} fehlen, wo die Krone den Nachbarn berühren wird: {spot}.",
		"contact-area-missing.advice": "Zwischen den Zähnen trocknen und die Seite des Nachbarn scannen, die zur Lücke zeigt.",

		"surface-doubled.text":   "Zwei Lagen Oberfläche liegen übereinander, auf {amount}: {spot}. Die Teile des Scans passen dort nicht zusammen.",
		"surface-doubled.advice": "Diesen Teil des Scans löschen und nachscannen: {spot}.",

		"surface-invented.text":   "Die Oberfläche sieht auf {amount} aus wie von einem Programm ergänzt: {spot}. Sie wurde nicht gescannt.",
		"surface-invented.advice": "Das Schließen von Löchern abschalten und nachscannen: {spot}.",

		"margin-not-captured.text":           "Der Scan endet auf {amount} am Rand: {spot}.",
		"margin-not-captured.advice":         "Trocknen und nachscannen, mit etwas Wurzel unter der Linie: {spot}.",
		"margin-not-captured.tried.spot":     "{spot}: nach {tries} Versuchen noch unklar",
		"margin-not-captured.tried.text":     "Der Scan endet nach {tries} Versuchen noch immer auf {amount} am Rand: {spot}.",
		"margin-not-captured.tried.advice":   dentistChooses,
		"margin-not-captured.bridged.text":   "Kurze Stücke des Randes fehlen im Scan: {count} an der Zahl, zusammen {amount}. Sie sind gestrichelt.",
		"margin-not-captured.bridged.advice": bridged,

		"margin-unclear.text":           "{amount} sind nicht zu sehen: {spot}. Gewebe, Flüssigkeit oder Paste liegt darüber.",
		"margin-unclear.advice":         "Blutung stillen, trocknen, neu legen, dann nachscannen: {spot}.",
		"margin-unclear.tried.spot":     "{spot}: nach {tries} Versuchen noch unklar",
		"margin-unclear.tried.text":     "{amount} sind nach {tries} Versuchen noch nicht zu sehen: {spot}.",
		"margin-unclear.tried.advice":   dentistChooses,
		"margin-unclear.bridged.text":   "Kurze Stücke des Randes sind nicht zu sehen: {count} an der Zahl, zusammen {amount}. Sie sind gestrichelt.",
		"margin-unclear.bridged.advice": bridged,

		"margin-two-lines.text":         "Zwei Linien könnten der Rand sein: {spot}. Sie liegen {amount} auseinander.",
		"margin-two-lines.advice":       "Trocknen, neu legen, dann nachscannen: {spot}.",
		"margin-two-lines.tried.spot":   "{spot}: nach {tries} Versuchen noch unklar",
		"margin-two-lines.tried.text":   "Zwei Linien könnten nach {tries} Versuchen noch der Rand sein: {spot}. Sie liegen {amount} auseinander.",
		"margin-two-lines.tried.advice": "Die Zahnärztin oder der Zahnarzt kann wählen: die Linie zeichnen, zweiter Faden, warten, konventionelle Abformung dieses Zahnes, oder mit Vermerk annehmen.",

		"sampling-coarse.text":   "Die Punkte des Scans liegen am Rand {amount} auseinander. {asks}",
		"sampling-coarse.advice": "Den Rand langsam und nah nachscannen, in der feinsten Einstellung.",

		"bite-differs.text":            "Bissscan und Kiefer stimmen nicht überein: der Gegenzahn würde sich am präparierten Zahn um {value} verschieben. {asks}",
		"bite-differs.advice":          closeFully,
		"bite-differs.residual.text":   "Der Bissscan liegt nicht auf den beiden Kiefern: {value} daneben. {asks}",
		"bite-differs.residual.advice": closeFully,

		"bite-penetrates.text":   "Die Kiefer laufen {value} ineinander. {asks}",
		"bite-penetrates.advice": closeFully,

		"bite-open.text":           "{neighbour} trifft den Gegenzahn nicht: {value} offen. {asks}",
		"bite-open.advice":         "Ganz schließen lassen, mit Folie neben dem präparierten Zahn prüfen und den Biss nochmals scannen.",
		"bite-open.held.text":      "{neighbour} berührte vorher und jetzt nicht: {value} offen. {asks}",
		"bite-open.held.advice":    "Ganz schließen lassen, dort mit Folie prüfen und den Biss nochmals scannen.",
		"bite-open.nowhere.text":   "In diesem Biss trifft kein Zahn einen anderen.",
		"bite-open.nowhere.advice": closeFully,

		"bite-unsupported.text":   "Der präparierte Zahn ist der letzte. Dahinter berührt nichts, der Biss kann kippen.",
		"bite-unsupported.advice": "Mit dem Biss vor der Behandlung vergleichen, oder mit Folie auf der anderen Seite.",
	}
}

func germanShape() map[string]string {
	const lookAbove = "Von oben mit einem Auge ansehen. Ob geglättet wird, entscheidet die Zahnärztin oder der Zahnarzt."
	const cement = "Bei der Wahl des Zements bedenken."
	return map[string]string{
		"clearance-low.text":           "Der geringste gemessene Platz ist {value}: {spot}. {asks}",
		"clearance-low.advice":         "Mit dem Mund vergleichen. Dort kann mehr abgetragen oder ein anderer Werkstoff gewählt werden.",
		"clearance-low.reduced.text":   "Der geringste gemessene Platz ist {value}, obwohl dort genug abgetragen wurde: {spot}. {asks}",
		"clearance-low.reduced.advice": "Zuerst den Biss ansehen, dann den Gegenzahn: er kann verlängert sein.",
		"clearance-low.spot":           "{value}, {spot}",

		"reduction-low.text":   "Der geringste gemessene Abtrag gegen den Scan von vorher ist {value}: {spot}. {asks}",
		"reduction-low.advice": "Mit dem Mund und mit dem Platz zum Gegenzahn vergleichen. Die Zahnärztin oder der Zahnarzt entscheidet.",
		"reduction-low.spot":   "{value} abgetragen, {spot}",

		"clearance-in-movement.text":   "Grob, mit mittleren Kieferbewegungen, ist der geringste Platz {value}: {spot}. {asks}",
		"clearance-in-movement.advice": "Seitwärts und vorwärts gleiten lassen und hinsehen.",

		"undercut.text":               "Ein Teil der Wand hängt um {value} über, entlang der Einschubrichtung gesehen{on}. {asks}",
		"undercut.advice":             lookAbove,
		"undercut.near-margin.text":   "Die Wand hängt nahe am Rand um {value} über{on}. Dort lässt sich für eine Krone nichts ausblocken.",
		"undercut.near-margin.advice": lookAbove,
		"undercut.shallow.text":       "Eine flache Unterschneidung wurde gemessen, {value}{on}.",
		"undercut.shallow.advice":     "Das Labor blockt sie aus.",
		"undercut.small.text":         "Eine Unterschneidung über eine kleine Fläche wurde gemessen, {value} tief{on}.",
		"undercut.small.advice":       "Das Labor blockt sie aus.",
		"undercut.spot":               "{value} Unterschneidung{on}",

		"path-blocked.text":        "{neighbour} steht der Krone auf ihrem Weg um {value} im Weg. {asks}",
		"path-blocked.advice":      "Der Nachbar kann beschliffen oder die Einschubrichtung geändert werden.",
		"path-blocked.tilt.text":   "{neighbour} steht der Krone auf ihrem Weg um {value} im Weg. {asks}",
		"path-blocked.tilt.advice": "Eine um {tilt} gekippte Richtung wäre frei. Die Zahnärztin oder der Zahnarzt entscheidet.",
		"path-blocked.spot":        "der Krone im Weg: {spot}",

		"finish-line-narrow.text":   "Die Präparationsgrenze ist an der schmalsten Stelle {value} breit{on}. {asks}",
		"finish-line-narrow.advice": "Mit dem Mund vergleichen. Sie kann verbreitert oder ein anderer Werkstoff gewählt werden.",
		"finish-line-narrow.spot":   "{value} breit: {spot}",

		"finish-line-differs.text":   "Die Präparationsgrenze sieht aus wie: {is}. Der Auftrag sagt: {asked}.",
		"finish-line-differs.advice": "Dem Labor sagen, was gemeint ist.",

		"neighbour-contour.text":   "{neighbour} wölbt sich um {value} in den Raum der Krone. {asks}",
		"neighbour-contour.advice": "Der Nachbar kann vor dem endgültigen Scan ein wenig umgeformt werden.",
		"neighbour-contour.spot":   "wölbt sich über die Krone: {spot}",

		"neighbour-damaged.text":   "{neighbour} hat seit dem Scan von vorher auf der Seite der Lücke {value} verloren. {asks}",
		"neighbour-damaged.advice": "Diesen Zahn ansehen und es dem Patienten sagen. Vor dem endgültigen Scan polieren.",
		"neighbour-damaged.spot":   "{value} verloren: {spot}",

		"gap-narrow.text":   "Vom Rand bis zum Nachbarn sind es {value}: {neighbour}. {asks}",
		"gap-narrow.advice": "Scanner und Stumpf brauchen diesen Abstand. Er kann vergrößert werden.",
		"gap-narrow.spot":   "{value} bis {spot}",

		"resistance-low.text":                  "Um den schwächsten Drehpunkt hält {value} der gegenüberliegenden Wand die Krone gegen Abkippen. {asks}",
		"resistance-low.advice":                "Mit konventionellem Zement muss die Form die Krone halten. Eine Rille oder adhäsiver Zement hilft.",
		"resistance-low.cement-unknown.text":   "Um den schwächsten Drehpunkt hält {value} der gegenüberliegenden Wand die Krone gegen Abkippen. {asks}",
		"resistance-low.cement-unknown.advice": "Der Auftrag nennt keinen Zement. Mit konventionellem Zement muss die Form die Krone halten.",
		"resistance-low.spot":                  "wenig Halt gegen Abkippen",

		"convergence-high.text":   "Die Wände laufen um {value} zusammen. {asks}",
		"convergence-high.advice": "Die meisten präparierten Molaren laufen mehr zusammen, als die Bücher verlangen. " + cement,

		"convergence-low.text":   "Die Wände sind fast gleichlaufend: {value}. {asks}",
		"convergence-low.advice": "Nach einer Unterschneidung sehen.",

		"walls-short.text":         "Die niedrigste Wand ist {value} hoch{on}. {asks}",
		"walls-short.advice":       cement,
		"walls-short.ratio.text":   "Die Wände sind {value}-mal so hoch, wie die Basis breit ist. {asks}",
		"walls-short.ratio.advice": cement,

		"sharp-edge.text":   "Die schärfste Kante der Präparation hat einen Radius von {value}. {asks}",
		"sharp-edge.advice": "Ein Fräser kann ihr nicht folgen. Sie kann gerundet werden.",

		"margin-rough.text":   "Der Rand schwankt um {value}. {asks}",
		"margin-rough.advice": "Eine glattere Linie passt leichter. Man kann sie mit einem feinen Bohrer nachziehen.",

		"root-not-seen.text":   "Unter dem Rand sind nur {amount} Zahn zu sehen{on}. {asks}",
		"root-not-seen.advice": "Wenn nachgescannt wird, dort etwas weiter nach unten.",

		"sulcus-narrow.text":   "Der Spalt zwischen Rand und Zahnfleisch ist an der engsten Stelle {value}{on}. {asks}",
		"sulcus-narrow.advice": "Wenn nachgescannt wird, dort zuerst öffnen.",

		"contrast-colour.text":   "{amount} innerhalb des Randes haben die Farbe von Gewebe oder Blut. {asks}",
		"contrast-colour.advice": "Nachsehen, ob dort Blut oder Gewebe auf dem Zahn liegt.",

		"ceramic-weak.text":   "{material} erreicht etwa {strength} MPa. ISO 6872 verlangt {need} MPa für eine Krone mit diesem Zement.",
		"ceramic-weak.advice": "Den Wert des Herstellers ansehen oder adhäsiven Zement wählen.",
	}
}

func germanPaper() map[string]string {
	return map[string]string{
		"prescription-incomplete.text":   "Im Auftrag fehlt: {fields}.",
		"prescription-incomplete.advice": "Vor dem Versenden ergänzen.",

		"date-impossible.no-such-day.text":            "{field}: {date}. Diesen Tag gibt es nicht.",
		"date-impossible.no-such-day.advice":          "Das Datum berichtigen.",
		"date-impossible.due-before-prepared.text":    "Die Krone soll am {due} fertig sein, vor der Präparation am {prepared}.",
		"date-impossible.due-before-prepared.advice":  "Die Daten berichtigen.",
		"date-impossible.seat-before-prepared.text":   "Die Krone soll am {seat} eingesetzt werden, vor der Präparation am {prepared}.",
		"date-impossible.seat-before-prepared.advice": "Die Daten berichtigen.",
		"date-impossible.seat-before-due.text":        "Die Krone soll am {seat} eingesetzt werden, bevor sie am {due} fertig ist.",
		"date-impossible.seat-before-due.advice":      "Das Einsetzen nach dem Fertigstellen planen.",
		"date-impossible.too-tight.text":              "Arbeitstage vom Fertigstellen am {due} bis zum Einsetzen am {seat}: {days}. Ihre Tabelle verlangt {need}.",
		"date-impossible.too-tight.advice":            "Luft lassen für ein spätes Paket: Einsetzen oder Fertigstellen verschieben.",
	}
}

func germanWords() map[string]string {
	w := map[string]string{
		"tooth": "Zahn", "no tooth": "kein Zahn",

		"role.preparation": "Scan des präparierten Zahnes", "role.working": "Arbeitskiefer", "role.opposing": "Gegenkiefer",
		"role.bite": "Bissscan", "role.before": "Scan von vorher", "role.design": "zurückgekommene Krone", "role.": "Scan",

		"zirconia-3y": "Zirkonoxid 3Y", "zirconia-4y": "Zirkonoxid 4Y", "zirconia-5y": "Zirkonoxid 5Y",
		"lithium-disilicate": "Lithiumdisilikat", "layered-ceramic": "geschichtete Keramik", "metal-ceramic": "Metallkeramik",
		"noble-alloy": "Edelmetall-Legierung", "base-alloy": "Nichtedelmetall-Legierung", "resin-composite": "Komposit",
		"pmma-provisional": "PMMA", "leucite": "Leuzitkeramik",

		"knife-edge": "Tangentialpräparation", "chamfer": "Hohlkehle", "heavy-chamfer": "tiefe Hohlkehle", "shoulder": "Stufe",
		"sloped-shoulder": "abgeschrägte Stufe", "mixed": "verschieden ringsum",

		"measure.penetration_max_mm": "Überschneidung der Kiefer", "measure.contacts": "Kontakte des Bisses",
		"measure.residual_um": "Passung des Bissscans", "measure.shift_at_tooth_mm": "Verschiebung des Bisses",
		"measure.missing_surface": "fehlende Oberfläche", "measure.margin": "Rand", "measure.contact_areas": "Kontaktflächen",
		"measure.insertion_axis": "Einschubrichtung", "measure.undercut_depth_max_mm": "Unterschneidung",
		"measure.undercut_area_mm2": "Unterschneidung", "measure.path_overlap_mm": "Weg zwischen den Nachbarn",
		"measure.clearance_patch_min_mm": "Platz für die Krone", "measure.reduction_occlusal_min_mm": "Abtrag",
		"measure.clearance_in_movement_min_mm": "Platz in Bewegung",
		"measure.convergence_mean_deg":         "Konvergenz", "measure.wall_height_min_mm": "Wandhöhe",
		"measure.height_to_base": "Höhe zu Basis", "measure.resistance": "Widerstand", "measure.finish_line": "Präparationsgrenze",

		"field.kind": "Art der Arbeit", "field.material": "Werkstoff", "field.cement": "Zement",
		"field.finish_line": "Präparationsgrenze", "field.made_by": "wer sie macht", "field.shade.guide": "Farbskala",
		"field.shade.body": "Farbe", "field.shade.stump": "Stumpffarbe", "field.contacts.mesial": "Kontakt mesial",
		"field.contacts.distal": "Kontakt distal", "field.occlusion.scheme": "Okklusionskonzept",
		"field.occlusion.opposing_material": "Werkstoff des Gegenzahns", "field.if_space_short": "was tun, wenn der Platz knapp ist",
		"field.dates.prepared": "Tag der Präparation", "field.dates.due": "Fertigstellung", "field.dates.seat": "Einsetztermin",
		"field.prescriber.name": "Zahnarzt", "field.prescriber.licence": "Zulassungsnummer",
		"field.laboratory.name": "Labor", "field.laboratory.address": "Anschrift des Labors",
		"field.patient.reference": "Patientenkürzel", "field.case": "Fallnummer",

		"biting edge": "Schneidekante", "biting surface": "Kaufläche",
	}
	for english, german := range map[string]string{ // into a map: order does not matter
		"mesial": "mesial", "distal": "distal", "buccal": "bukkal", "lingual": "lingual", "palatal": "palatinal",
		"occlusal": "okklusal", "incisal": "inzisal", "mesiobuccal": "mesiobukkal", "distobuccal": "distobukkal",
		"mesiolingual": "mesiolingual", "distolingual": "distolingual", "mesiopalatal": "mesiopalatinal", "distopalatal": "distopalatinal",
	} {
		w[english], w[english+" side"], w[english+" line angle"] = german, german, "Kante "+german
	}
	return w
}
