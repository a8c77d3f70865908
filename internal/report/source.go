package report

import (
	"slices"
	"strings"
)

// Source writes where a limit comes from: titles, names and numbers stay as they are
// cited, the words around them are the reader's.
func (w *Words) Source(s string) string {
	if w.Lang != "de" {
		return s
	}
	if whole, ok := germanSources[s]; ok {
		return whole
	}
	for _, p := range germanPhrases() {
		s = strings.ReplaceAll(s, p, germanSources[p])
	}
	return s
}

// germanPhrases are the phrases of [germanSources], the longest first.
func germanPhrases() []string {
	out := make([]string, 0, len(germanSources))
	for p := range germanSources { // sorted below
		out = append(out, p)
	}
	slices.SortFunc(out, func(a, b string) int {
		if len(a) != len(b) {
			return len(b) - len(a)
		}
		return strings.Compare(a, b)
	})
	return out
}

// germanSources are sources, and phrases within them, in German.
var germanSources = map[string]string{
	"our own choice":                     "eigene Festlegung",
	"from memory":                        "aus dem Gedächtnis",
	"common practice":                    "übliche Praxis",
	"common teaching":                    "übliche Lehre",
	"consensus teaching":                 "allgemeine Lehre",
	"consensus (":                        "Konsens (",
	"general milling practice":           "übliche Frästechnik",
	"compare ":                           "vgl. ",
	"strength order":                     "Reihenfolge der Festigkeit",
	"taken as for noble alloy":           "wie für Edelmetalllegierung angenommen",
	"course texts:":                      "Kursunterlagen:",
	"course text:":                       "Kursunterlage:",
	"course text (":                      "Kursunterlage (",
	"Rosenstiel text (":                  "Lehrbuch von Rosenstiel (",
	"functional":                         "funktionell",
	"non-functional":                     "nicht funktionell",
	"shoulder":                           "Stufe",
	"chamfer":                            "Hohlkehle",
	"incisal and lingual of front teeth": "inzisal und lingual an Frontzähnen",
	"axial and occlusal":                 "axial und okklusal",
	"axial and margin":                   "axial und Rand",
	"at the margin":                      "am Rand",
	"1.0 survives, 0.5 does not":         "1.0 übersteht es, 0.5 nicht",
	"1.5 recommended, 1.0 above chewing load":  "1.5 empfohlen, 1.0 über der Kaulast",
	"0.5 enough with either cement, 0.2 fails": "0.5 genügt mit jedem Zement, 0.2 versagt",
	"recommended values":                       "empfohlene Werte",
	"accurate from 0.15 mm":                    "genau ab 0.15 mm",
	"0.2 mm is the usual working minimum":      "0.2 mm ist das übliche Mindestmaß",
	"makers state more: edit to yours":         "Hersteller geben mehr an: auf Ihren ändern",
	"class 3, single crown, non-adhesive":      "Klasse 3, Einzelkrone, nicht adhäsiv",
	"class 2, single crown, adhesive":          "Klasse 2, Einzelkrone, adhäsiv",

	"tip diameter":                                                                                "Spitzendurchmesser",
	"finest tool radius":                                                                          "feinster Werkzeugradius",
	"half-wall (average) limit:":                                                                  "Grenze der halben Wand (Mittel):",
	"flag: half-wall limit of a ratio of 0.4 is 23.6":                                             "Warnung: die Grenze der halben Wand beim Verhältnis 0.4 ist 23.6",
	"flag: our own choice, check for undercut":                                                    "Warnung: eigene Festlegung, auf Unterschnitt prüfen",
	"never seat on the day the crown is due":                                                      "nie an dem Tag einsetzen, an dem die Krone kommen soll",
	"0.3-0.5 mm of unprepared root below the line":                                                "0.3-0.5 mm unpräparierte Wurzel unter der Linie",
	"a bite record is worth no better than about 100 um":                                          "eine Bissaufnahme ist nicht besser als etwa 100 um",
	"a bite record is worth no better than about 0.1 mm":                                          "eine Bissaufnahme ist nicht besser als etwa 0.1 mm",
	"(Kakali and Halazonetis 2023)":                                                               "(Kakali und Halazonetis 2023)",
	"0.04 mm is three times a scan noise of 0.013 mm":                                             "0.04 mm sind das Dreifache eines Scanrauschens von 0.013 mm",
	"twice the point spacing wanted at the margin (0.10 mm)":                                      "das Doppelte des Punktabstands, der am Rand gewünscht ist (0.10 mm)",
	"a shorter stretch cannot be told from the gap between points":                                "eine kürzere Strecke ist von der Lücke zwischen Punkten nicht zu unterscheiden",
	"three times the registration and noise of two good scans":                                    "das Dreifache von Zuordnung und Rauschen zweier guter Scans",
	"three times 30 um nears the undercut limit of 0.10 mm":                                       "das Dreifache von 30 um kommt der Unterschnittgrenze von 0.10 mm nahe",
	"5-13 um was found on a flat wafer":                                                           "5-13 um wurden auf einer ebenen Scheibe gefunden",
	"the worth of a bite record":                                                                  "so gut ist eine Bissaufnahme",
	"the area that also makes an undercut or a patch count":                                       "die Fläche, ab der auch ein Unterschnitt oder ein Fleck zählt",
	"half of and about equal to the 120 um marginal gap of a 1971 clinical study":                 "die Hälfte des Randspalts von 120 um einer klinischen Studie von 1971, und etwa dieser",
	"an eccentric contact position lies 2 to 4 mm along the path":                                 "ein exzentrischer Kontakt liegt 2 bis 4 mm weit auf dem Weg",
	"a scan shows no overlap more finely":                                                         "feiner zeigt ein Scan keine Überschneidung",
	", from the error of bite records":                                                            ", aus dem Fehler von Bissaufnahmen",
	"practice, and the chord across an edge: 0.126 mm misses an edge of radius 0.1 mm by 0.02 mm": "Praxis, und die Sehne über eine Kante: 0.126 mm verfehlen eine Kante mit Radius 0.1 mm um 0.02 mm",
	"Bonwill's 4 inches; 97.4 to 101 were measured on dry mandibles":                              "Bonwills 4 Zoll; an trockenen Unterkiefern wurden 97.4 bis 101 gemessen",
	"one mouth a year apart differs by 0.05 to 0.18 mm RMS; of a normal spread the nearer four fifths have 0.62 of that": "ein Mund unterscheidet sich nach einem Jahr um 0.05 bis 0.18 mm RMS; die näheren vier Fünftel einer Normalverteilung haben davon 0.62",
	"3D-3D dentition superimposition": "3D-3D-Überlagerung von Zahnreihen",
	"20 um counts as contact in a population study (SHIP-1); 50 um is what a scan can tell": "20 um gelten in einer Bevölkerungsstudie (SHIP-1) als Kontakt; 50 um kann ein Scan unterscheiden",
	"3 to 8 minutes; take it out damp":                                          "3 bis 8 Minuten; feucht herausnehmen",
	"at most 10 minutes: 20 minutes left 0.09 mm of recession after four weeks": "höchstens 10 Minuten: 20 Minuten hinterließen nach vier Wochen 0.09 mm Rezession",
	"at least 5 is ":                 "mindestens 5 ist ",
	"1 to 3 minutes":                 "1 bis 3 Minuten",
	"see the product's instructions": "siehe die Gebrauchsanweisung",
	"avoided at any cardiac risk (survey of 495 dentists); times:": "bei jedem Herzrisiko vermieden (Umfrage unter 495 Zahnärzten); Zeiten:",
	"1 to 2 minutes, up to 5 with a cap":                           "1 bis 2 Minuten, mit Kappe bis 5",
	"general practice":                                             "allgemeine Praxis",
	"zirconia is cut before it is sintered, and shrinks by about a fifth; the block's own number stands on it": "Zirkonoxid wird vor dem Sintern gefräst und schrumpft um etwa ein Fünftel; die Zahl des Blocks steht auf ihm",
	"what is left of a block on every side for the tool to go round; ask the maker of the mill":                "was vom Block auf jeder Seite bleibt, damit das Werkzeug herumkommt; den Hersteller der Fräse fragen",
	"every case of the next two to three days is looked for in the building":                                   "jeder Fall der nächsten zwei bis drei Tage wird im Haus gesucht",
	"while a query is open the laboratory's working days do not count":                                         "solange eine Rückfrage offen ist, zählen die Arbeitstage des Labors nicht",
	"a temporary is made for a few weeks, and a tooth whose temporary is loose or lost can move within days":   "ein Provisorium ist für einige Wochen gemacht, und ein Zahn, dessen Provisorium locker oder verloren ist, kann in Tagen wandern",
}
