package report

// German is the second catalogue.
func German() *Words {
	return &Words{Lang: "de", Decimal: ",", Text: german(), Reasons: germanReasons(), cautions: cautionsGerman()}
}

func german() map[string]string {
	return map[string]string{
		"verdict.label":   "Ergebnis",
		"word.clear":      "Nichts nachzuscannen",
		"word.scan-again": "Nachscannen", "word.ask-dentist": "Zahnarzt holen", "word.not-checked": "Nicht geprüft",
		"banner.clear": "KEIN NACHSCAN", "banner.scan-again": "NACHSCANNEN", "banner.ask-dentist": "ZAHNARZT HOLEN",
		"banner.not-checked": "NICHT GEPRÜFT",

		"case": "Fall", "tooth": "Zahn", "stage.preparation": "Prüfung vor dem Öffnen des Zahnfleischs", "stage.final": "abschließende Prüfung",
		"mouth": "Das vermisst die Dateien, nicht den Mund. Die Zahnärztin oder der Zahnarzt entscheidet nach Ansehen und Sondieren.",
		"void":  "Es gilt für die unten genannten Dateien. Eine neuere Datei macht es ungültig.",

		"action.check-files": "Dateien ansehen", "action.scan-again": "Nachscannen", "action.open-margin": "Rand freilegen, dann scannen",
		"action.ask-dentist": "Zahnarzt", "action.fill-in": "Ergänzen", "action.note": "Hinweis",

		"next": "Danach", "also": "Danach, in dieser Reihenfolge", "dentist": "Für die Zahnärztin, den Zahnarzt", "fill": "Vor dem Versenden ergänzen",
		"notes": "Gut zu wissen", "ignore": "Spielt keine Rolle", "ignore.none": "",
		"since": "Seit der Prüfung davor", "since.new": "Neu", "since.worse": "Schlechter", "since.still": "Noch da", "since.better": "Besser, noch da",
		"since.untold": "Diesmal nicht gemessen", "since.resolved": "In Ordnung gebracht",
		"ignore.why": "Dafür ist nichts nachzuscannen.",

		"room.least": "geringster Platz zum Gegenzahn", "room.none": "Platz zum Gegenzahn nicht gemessen",
		"key":          "So sind die Bilder zu lesen",
		"key.captured": "Rand, gesehen", "key.dashed": "Rand, zweifelhaft oder überbrückt", "key.beads": "Rand, nicht im Scan",
		"key.arc": "Stück, das nicht zu lesen ist", "key.dots": "hier wurde nichts gescannt", "key.hatch": "Innenseite des Scans",
		"key.scan": "nachscannen", "key.ask": "Zahnarzt entscheidet", "key.note": "gut zu wissen",

		"measured": "Gemessen", "measured.none": "An diesem Zahn wurde nichts gemessen.",
		"col.measure": "Maß", "col.value": "Wert ± Unsicherheit", "col.limit": "Ihre Tabelle", "col.place": "Stelle", "col.table": "Tabelle:", "your.table": "Ihre Tabelle",
		"u.note":       "± ist die erweiterte Unsicherheit, k = 2: etwa 95 von 100 solchen Bereichen enthalten den wahren Wert.",
		"not-measured": "Nicht gemessen", "why": "warum",
		"files": "Dateien", "files.role": "zeigt", "files.triangles": "Dreiecke", "files.spacing": "Abstand", "files.noise": "Rauschen",
		"files.moved": "auf den Scan des Arbeitskiefers gelegt, ±%s mm am Zahn", "files.flipped": "war umgestülpt, berichtigt",
		"files.sha": "SHA-256", "assumed": "Angenommen",
		"sources": "Quellen der Grenzen",
		"limits":  "Grenzen", "limits.version": "Fassung", "limits.edited": "Von dieser Praxis geändert",
		"limits.unedited": "die mitgelieferte Tabelle",
		"limits.unknown":  "die Fassung mit der eigenen vergleichen",
		"cautions":        "Vorbehalte", "made.by": "Gemacht mit", "schema": "Form",
		"margin": "Rand", "margin.round": "läuft um den Zahn", "margin.open": "schließt sich nicht",
		"margin.length": "lang", "margin.unclear": "unklar", "margin.missing": "nicht im Scan",
		"advised": "geraten", "orMore": "oder mehr", "orLess": "oder weniger",

		"role.preparation": "präparierter Zahn", "role.working": "Arbeitskiefer", "role.opposing": "Gegenkiefer",
		"role.bite": "Biss", "role.before": "vor der Behandlung", "role.design": "zurückgekommene Krone", "role.": "nicht bekannt",

		"finish.knife-edge": "tangential", "finish.chamfer": "Hohlkehle", "finish.heavy-chamfer": "tiefe Hohlkehle",
		"finish.shoulder": "Stufe", "finish.sloped-shoulder": "abgeschrägte Stufe", "finish.mixed": "wechselt ringsum",

		"zone.functional": "Höcker, die den Biss halten", "zone.non-functional": "andere Höcker", "zone.fossa": "Fossa",
		"zone.incisal": "Schneidekante", "zone.lingual-front": "Innenfläche",

		"group.room": "Platz und Biss", "group.margin": "Rand und Präparationsgrenze", "group.shape": "Wände und Einschubrichtung",

		"m.clearance_patch_min_mm":       "Geringster Platz auf 0,5 mm²",
		"m.clearance_min_mm":             "Geringster Platz überhaupt",
		"m.clearance_functional_min_mm":  "Geringster Platz, tragende Höcker",
		"m.clearance_along_axis_min_mm":  "Geringster Platz, in Einschubrichtung",
		"m.clearance_in_movement_min_mm": "Geringster Platz in Kieferbewegungen",
		"m.reduction_occlusal_min_mm":    "Geringster Abtrag, Kaufläche",
		"m.reduction_axial_min_mm":       "Geringster Abtrag, Wände",
		"m.residual_um":                  "Passung des Bissscans",
		"m.shift_at_tooth_mm":            "Bissscan verschiebt den Gegenzahn um",
		"m.penetration_max_mm":           "Tiefste Überschneidung der Kiefer",
		"m.contacts":                     "Kontakte",
		"m.margin":                       "Rand", "m.margin_length": "Länge des Randes",
		"m.margin_unclear": "davon unklar", "m.margin_missing": "davon nicht im Scan",
		"m.finish_line": "Präparationsgrenze", "m.finish_width_min": "Präparationsgrenze, geringste Breite", "m.finish_width_median": "Präparationsgrenze, mittlere Breite",
		"m.margin_roughness_um":         "Rand schwankt um",
		"m.root_seen_min_mm":            "Geringste Wurzel unter dem Rand",
		"m.sulcus_width_min_mm":         "Engster Spalt zwischen Rand und Zahnfleisch",
		"m.margin_spacing_mm":           "Abstand der Punkte am Rand",
		"m.gap_mesial_min_mm":           "Abstand zum Nachbarn mesial",
		"m.gap_distal_min_mm":           "Abstand zum Nachbarn distal",
		"m.insertion_axis":              "Einschubrichtung",
		"m.convergence_mesiodistal_deg": "Konvergenz, mesial zu distal", "m.convergence_buccolingual_deg": "Konvergenz, bukkal zu lingual",
		"m.convergence_mean_deg": "Konvergenz, im Mittel", "m.wall_height_min_mm": "Niedrigste Wand",
		"m.height_to_base": "Höhe zu Basis", "m.resistance": "Anteil der Wand gegen Abkippen",
		"m.undercut_depth_max_mm": "Tiefste Unterschneidung", "m.undercut_area_mm2": "Fläche der Unterschneidung",
		"m.path_overlap_mm": "Überlappung mit Nachbarn", "m.edge_radius_min_mm": "Schärfste Kante, Radius",
		"m.margin_by_hand": "davon von Hand gesetzt", "m.pins_left_out": "Von Hand gesetzte Punkte, zu weit weg", "m.margin_accepted": "Linie angenommen von",
		"m.tool_thins_max_mm": "Fräser macht die Krone dünner um", "m.tool_removes_mm3": "Fräser nimmt innen weg",

		"side.mesial": "mesial", "side.distal": "distal", "side.buccal": "bukkal", "side.lingual": "lingual", "side.palatal": "palatinal",
		"side.occlusal": "okklusal", "side.incisal": "inzisal", "side.mesiobuccal": "mesiobukkal", "side.distobuccal": "distobukkal",
		"side.mesiolingual": "mesiolingual", "side.distolingual": "distolingual", "side.mesiopalatal": "mesiopalatinal", "side.distopalatal": "distopalatinal",

		"alt.overview": "Der Zahn in Einschubrichtung gesehen.", "alt.clearance": "Platz zum Gegenzahn mit Linien gleichen Platzes.",
		"alt.bite": "Beide Kiefer im gemessenen Biss, von der Wange gesehen.", "alt.hold": "So die Spitze halten.",
		"alt.section": "Schnitt durch beide Kiefer an dieser Stelle.",
	}
}

func cautionsGerman() []string {
	return []string{
		"Es vermisst die Dateien, nicht den Mund. Die Zahnärztin oder der Zahnarzt entscheidet nach Ansehen und Sondieren.",
		"Es sieht nicht unter Gewebe, Blut, Speichel oder unter Oberfläche, die ein Programm ergänzt hat.",
		"Die Genauigkeit ist durch Scan, Biss und Netz begrenzt. Jede Zahl trägt ihr ±; was sich nicht sagen lässt, ist „nicht gemessen“.",
		"Der Platz ist bei geschlossenen Zähnen gemessen. Kieferbewegung, lockere Zähne und Zementspalt bleiben außer Betracht, wenn die Zeile es nicht sagt.",
		"Die Grenzen stammen aus Ihrer eigenen Tabelle. Ihre Fassung steht hier; jede Zeile hat Quelle und Datum.",
		"Es erkennt weder Karies noch Risse, eröffnete Pulpa, Werkstofffehler oder Allergie.",
		"Uhren erinnern. Die Gebrauchsanweisung des Produkts gilt.",
		"Originaldateien werden nie verändert. Daraus gemachte Dateien sind so bezeichnet.",
		"Nicht zur Diagnose. Es ersetzt nicht Ihr Recht darüber, wer was darf.",
		"Wie oft diese Version etwas übersieht oder vergeblich ruft, steht auf ihrer Seite zur Genauigkeit (doc/accuracy.md).",
	}
}

// germanReasons are why a measure was not made. One that is not here stands in English:
// it is said rarely, and to whoever looks for it.
func germanReasons() map[string]string {
	return map[string]string{
		"no scan from before the preparation":                                                   "kein Scan von vor der Präparation",
		"no scan of the opposing arch":                                                          "kein Scan des Gegenkiefers",
		"no bite record":                                                                        "kein Bissscan",
		"no margin was traced":                                                                  "kein Rand wurde gezogen",
		"no wall of a preparation is to be seen":                                                "keine Wand einer Präparation ist zu sehen",
		"the wall is not to be seen":                                                            "die Wand ist nicht zu sehen",
		"the middle of the preparation is not to be seen":                                       "die Mitte der Präparation ist nicht zu sehen",
		"the scan from before cannot be laid on the working scan":                               "der Scan von vorher lässt sich nicht auf den Arbeitskiefer legen",
		"the scan from before and the working scan hardly overlap":                              "der Scan von vorher und der Arbeitskiefer überlappen kaum",
		"the scan from before does not fit this side of the neighbour":                          "der Scan von vorher passt nicht auf diese Seite des Nachbarn",
		"the scan holds no colours":                                                             "der Scan hat keine Farben",
		"the whole preparation is as red as gum, so its colours tell nothing":                   "die ganze Präparation ist so rot wie Zahnfleisch, ihre Farben sagen also nichts",
		"there is no neighbour on this side":                                                    "auf dieser Seite steht kein Nachbar",
		"there is no neighbour beside the preparation":                                          "neben der Präparation steht kein Nachbar",
		"too little of the margin is readable":                                                  "zu wenig vom Rand ist lesbar",
		"too little of the wall is to be seen":                                                  "zu wenig von der Wand ist zu sehen",
		"a tenth or more of the wall is not to be seen":                                         "ein Zehntel der Wand oder mehr ist nicht zu sehen",
		"less than half of the wall is to be seen":                                              "weniger als die halbe Wand ist zu sehen",
		"the wall does not determine a direction":                                               "die Wand bestimmt keine Richtung",
		"the walls do not agree on one direction: one of them may be missing or curved":         "die Wände sind sich über die Richtung nicht einig: eine fehlt vielleicht oder ist gekrümmt",
		"no wall has an occlusal line angle":                                                    "keine Wand hat oben eine Kante",
		"no edge stands out that could be sharp":                                                "keine Kante hebt sich ab, die scharf sein könnte",
		"the points lie too far apart to show how sharp an edge is":                             "die Punkte liegen zu weit auseinander, um zu zeigen, wie scharf eine Kante ist",
		"the scan is too noisy to show how sharp an edge is":                                    "der Scan ist zu rau, um zu zeigen, wie scharf eine Kante ist",
		"the scan is too coarse or too noisy to tell how sharp its edges are":                   "der Scan ist zu grob oder zu rau, um zu sagen, wie scharf seine Kanten sind",
		"whatever edges there are lie under a sheet of the scan that is not the tooth":          "was an Kanten da ist, liegt unter einer Schicht des Scans, die nicht der Zahn ist",
		"the margin could not be read most of the way round, and what lies above it may be gum": "der Rand ist zum größten Teil nicht lesbar, und was darüber liegt, kann Zahnfleisch sein",
		"no opposing surface comes near this part of the preparation in movement":               "in Bewegung kommt diesem Teil der Präparation keine Gegenfläche nahe",
		"no opposing surface lies within 5 mm of this tooth":                                    "keine Gegenfläche liegt näher als 5 mm an diesem Zahn",
		"the arches stand more than 5 mm apart, or one does not reach over the other":           "die Kiefer stehen mehr als 5 mm auseinander, oder einer reicht nicht über den anderen",
		"nothing inside the margin is to be seen":                                               "innerhalb des Randes ist nichts zu sehen",
		"no surface was found inside the margin line":                                           "innerhalb der Linie des Randes wurde keine Oberfläche gefunden",
		"the margin line does not go round the tooth":                                           "die Linie des Randes läuft nicht um den Zahn",
		"the gum beside the margin is not to be seen":                                           "das Zahnfleisch neben dem Rand ist nicht zu sehen",
		"the gum lies below the margin":                                                         "das Zahnfleisch liegt unter dem Rand",
		"too few triangles lie at the margin":                                                   "am Rand liegen zu wenige Dreiecke",
		"too little even surface to tell noise from shape":                                      "zu wenig ebene Oberfläche, um Rauschen von Form zu trennen",
		"the two scans share fewer than two teeth that were not prepared":                       "die beiden Scans haben weniger als zwei unpräparierte Zähne gemeinsam",
		"no prepared tooth was found, so nothing tells what is needed":                          "kein präparierter Zahn wurde gefunden, also sagt nichts, was gebraucht wird",
		"the tooth before it was cut meets no opposing surface":                                 "der Zahn vor dem Beschleifen trifft keine Gegenfläche",
		"the sides of the neighbours that face the preparation are not to be seen":              "die Seiten der Nachbarn zur Präparation hin sind nicht zu sehen",
		"the margin is not to be seen on the buccal or lingual side":                            "der Rand ist bukkal oder lingual nicht zu sehen",
		"front teeth meet near the edge, over which nothing hangs":                              "Frontzähne treffen sich nahe der Kante, über die nichts hängt",
		"no contact on the neighbours shows which cusps hold the bite":                          "kein Kontakt auf den Nachbarn zeigt, welche Höcker den Biss halten",
		"the expected contact area was not found":                                               "die erwartete Kontaktfläche wurde nicht gefunden",
		"without the place of the prepared tooth it cannot be said what the crown needs":        "ohne die Stelle des präparierten Zahnes lässt sich nicht sagen, was die Krone braucht",
		"the finish line was not measured":                                                      "die Präparationsgrenze wurde nicht gemessen",
		"not measured in this version":                                                          "in dieser Version nicht gemessen",
		"the contact lies higher than the preparation":                                          "der Kontakt liegt höher als die Präparation",
		"this version measures crowns; for a bridge only files, coverage and bite are checked":  "diese Version vermisst Kronen; bei einer Brücke werden nur Dateien, Abdeckung und Biss geprüft",
	}
}
