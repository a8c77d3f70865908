package report

// Note writes what a limit is about in the reader's language; a note of the practice's own
// stays as it was written.
func (w *Words) Note(s string) string {
	if w.Lang != "de" {
		return s
	}
	if g, ok := germanNotes[s]; ok {
		return g
	}
	return s
}

// germanNotes are the notes of the shipped limits in German.
var germanNotes = map[string]string{
	"RMS distance of the nearer four fifths of the typical untouched tooth in two scans of one arch":    "RMS-Abstand der näheren vier Fünftel des typischen unberührten Zahns in zwei Scans eines Kiefers",
	"RMS distance of untouched teeth in two scans of one arch, where single teeth cannot be told apart": "RMS-Abstand unberührter Zähne in zwei Scans eines Kiefers, wo sich einzelne Zähne nicht unterscheiden lassen",
	"added again for the advised clearance":                                                            "kommt für den empfohlenen Abstand noch einmal dazu",
	"added to the material minimum for the clearance":                                                  "kommt für den Abstand zur Mindeststärke des Materials dazu",
	"angle of that triangle with the occlusal plane":                                                   "Winkel dieses Dreiecks zur Okklusionsebene",
	"any undercut proven nearer to the margin than this is flagged, however shallow":                   "jeder erwiesene Unterschnitt, der näher am Rand liegt, wird gemeldet, wie flach er auch ist",
	"area in shadow; flagged together with undercut-depth":                                             "Fläche im Schatten; wird zusammen mit der Tiefe des Unterschnitts gemeldet",
	"area of tissue or blood colour inside the margin curve":                                           "Fläche in der Farbe von Gewebe oder Blut innerhalb der Randlinie",
	"area that a program filled in":                                                                    "Fläche, die ein Programm aufgefüllt hat",
	"area where two sheets lie within 0.3 mm with like normals":                                        "Fläche, auf der zwei Schichten mit gleicher Richtung innerhalb von 0,3 mm liegen",
	"block that has to be there on every side of the crown":                                            "Blockmaterial, das auf jeder Seite der Krone da sein muss",
	"deepest overlap of the two arches":                                                                "tiefste Überschneidung der beiden Kiefer",
	"depth lost on the neighbour's facing surface since the scan from before":                          "Tiefe, die die zugewandte Fläche des Nachbarn seit dem Scan davor verloren hat",
	"depth to the survey line; flagged together with undercut-area":                                    "Tiefe bis zur Äquatorlinie; wird zusammen mit der Fläche des Unterschnitts gemeldet",
	"deviation of the margin from its own 1 mm smooth, RMS":                                            "Abweichung des Rands von seinem über 1 mm geglätteten Verlauf, RMS",
	"distance between the bite record and the arches it was laid on":                                   "Abstand zwischen dem Bissscan und den Kiefern, auf die er gelegt wurde",
	"distance between two lines that could both be the margin":                                         "Abstand zweier Linien, die beide der Rand sein könnten",
	"from the margin to the neighbouring tooth":                                                        "vom Rand zum Nachbarzahn",
	"gap between a neighbour and its opponent once overlap is taken out":                               "Spalt zwischen einem Nachbarn und seinem Gegenzahn, Überschneidung herausgenommen",
	"height of the lowest of the four walls":                                                           "Höhe der niedrigsten der vier Wände",
	"how far the condyles travel in the movements that are looked at":                                  "wie weit die Kondylen bei den betrachteten Bewegungen wandern",
	"how far the record would move the opposing arch at the prepared tooth":                            "wie weit der Bissscan den Gegenkiefer am präparierten Zahn verschieben würde",
	"how much larger than the crown its blank is cut":                                                  "wie viel größer als die Krone ihr Rohling gefräst wird",
	"inward angle of the balancing condyle's path, for the room in movement":                           "Winkel der Bahn des schwingenden Kondylus nach innen, für den Raum in der Bewegung",
	"least share of the opposite wall that keeps a crown from rotating off":                            "kleinster Anteil der gegenüberliegenden Wand, der eine Krone am Abkippen hindert",
	"length of a doubtful stretch at a line angle, where nothing is bridged":                           "Länge einer zweifelhaften Strecke an einer Kante zwischen zwei Flächen, wo nichts überbrückt wird",
	"length of a stretch of the margin that cannot be told; up to this length it is bridged and noted": "Länge einer Strecke des Rands, die nicht zu erkennen ist; bis zu dieser Länge wird sie überbrückt und vermerkt",
	"length of a stretch of the margin that the scan does not hold":                                    "Länge einer Strecke des Rands, die der Scan nicht enthält",
	"median edge of the mesh within 0.5 mm of the margin":                                              "mittlere Kantenlänge des Netzes im Umkreis von 0,5 mm um den Rand",
	"open width between margin and tissue":                                                             "offene Breite zwischen Rand und Gewebe",
	"overhang of a neighbour over the space of the crown, seen along the axis":                         "Überhang eines Nachbarn über den Raum der Krone, entlang der Achse gesehen",
	"overlap of the margin outline, swept along the axis, with a neighbouring tooth":                   "Überschneidung des Randumrisses, entlang der Achse verschoben, mit einem Nachbarzahn",
	"radius of a convex edge inside the margin":                                                        "Radius einer nach außen gewölbten Kante innerhalb des Rands",
	"radius of the finest tool that mills the inside of the crown; ask the laboratory":                 "Radius des feinsten Werkzeugs, das die Innenseite der Krone fräst; im Labor erfragen",
	"roughness of the scan itself, one standard deviation":                                             "Rauheit des Scans selbst, eine Standardabweichung",
	"side of the triangle of both condyles and the incisal point":                                      "Seite des Dreiecks aus beiden Kondylen und dem Inzisalpunkt",
	"slope of the condylar path against the occlusal plane, for the room in movement":                  "Neigung der Kondylenbahn zur Okklusionsebene, für den Raum in der Bewegung",
	"slope of the incisors' path in laterotrusion, for the room in movement":                           "Neigung der Bahn der Schneidezähne bei Laterotrusion, für den Raum in der Bewegung",
	"slope of the incisors' path in protrusion, for the room in movement":                              "Neigung der Bahn der Schneidezähne bei Protrusion, für den Raum in der Bewegung",
	"tooth seen below the margin":                                                                      "unterhalb des Rands sichtbarer Zahn",
	"total occlusal convergence":                                                                       "gesamte okklusale Konvergenz",
	"total occlusal convergence, the sum of the tapers of two opposing walls":                          "gesamte okklusale Konvergenz, die Summe der Neigungen zweier gegenüberliegender Wände",
	"wall height over the buccolingual width of the base":                                              "Wandhöhe im Verhältnis zur bukkolingualen Breite der Basis",
	"widest extent of what is missing on other needed surface":                                         "größte Ausdehnung dessen, was auf anderen benötigten Flächen fehlt",
	"widest extent of what is missing on the opposing teeth":                                           "größte Ausdehnung dessen, was auf den Gegenzähnen fehlt",
	"widest extent of what is missing on the preparation":                                              "größte Ausdehnung dessen, was auf der Präparation fehlt",
	"widest extent of what is missing where the crown will touch its neighbour":                        "größte Ausdehnung dessen, was fehlt, wo die Krone ihren Nachbarn berühren wird",
	"working days before the seat visit by which the work has to be in the building and inspected":     "Arbeitstage vor dem Einsetztermin, bis zu denen die Arbeit im Haus und geprüft sein muss",
	"working days from the due date to the seat date, when a laboratory makes the crown":               "Arbeitstage vom Liefertag bis zum Einsetztermin, wenn ein Labor die Krone herstellt",
	"working days that a temporary has been in place, from the day of the preparation":                 "Arbeitstage, die ein Provisorium in situ ist, ab dem Tag der Präparation",
	"working days within which a laboratory's query is to be answered":                                 "Arbeitstage, innerhalb derer eine Rückfrage des Labors zu beantworten ist",
}
