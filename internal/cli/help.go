package cli

import (
	"fmt"
	"slices"
	"strings"

	"github.com/alecthomas/kong"
)

// helpVerb explains a verb or a topic.
type helpVerb struct {
	Topic string `arg:"" optional:"" help:"A verb, or: verdicts, exit-codes, case, roles, units, cautions." predictor:"topic"`
}

// topic is a page of help that belongs to no one verb.
type topic struct{ name, title, text string }

// Run prints the overview, a verb's help or a topic.
func (v helpVerb) Run(env Env, parser *kong.Kong) error {
	if v.Topic == "" {
		_, err := fmt.Fprint(env.Stdout, overview)
		return err
	}
	for _, t := range topics {
		if t.name == v.Topic {
			_, err := fmt.Fprintf(env.Stdout, "%s\n\n%s\n", t.title, strings.TrimSpace(t.text))
			return err
		}
	}
	for _, node := range parser.Model.Children {
		if node.Name == v.Topic {
			_, err := parser.Parse([]string{v.Topic, "--help"}) // prints, and ends the command
			return err
		}
	}
	return &inputError{
		What: fmt.Sprintf("there is no help on %q", v.Topic),
		Try:  "selvage help, or one of " + strings.Join(topicNames(), ", "),
	}
}

// topicNames lists the topics and the verbs.
func topicNames() []string {
	names := []string{"check", "hand-off", "verify", "serve", "backup", "backup-key", "restore", "phantom", "study", "limits", "version", "completion"}
	for _, t := range topics {
		names = append(names, t.name)
	}
	slices.Sort(names)
	return names
}

const overview = `Selvage measures the scans of a tooth prepared for a crown, and says whether
something must be scanned again, looked at by the dentist, or could not be checked.

  selvage check CASE                       a folder of scans with case.json
  selvage check FOLDER --tooth 26 --material lithium-disilicate
                                           a folder without one
  selvage check CASE --report report.html  the same, with pictures
  selvage check CASE --report order.pdf    the work order on paper
  selvage hand-off CASE --out case.zip     pack it for the laboratory
  selvage verify case.zip                  is it what was packed, and by whom?
  selvage phantom OUT --tooth 26           make a case with known truth
  selvage study                            how often is each finding right?
  selvage serve                            the page at the chair
  selvage backup --to FOLDER               copy the cases; selvage restore undoes it
  selvage limits                           the limits and where they come from
  selvage version                          the version, and a self-test

The answer is one of four, and it is also the exit code:

   0  clear         nothing to scan again, nothing that needs the bur
  10  scan again    the assistant can put it right now
  11  ask dentist   the dentist must look or cut
  12  not checked   a measure could not be made, or the files do not fit the case
   2  the input could not be used; one line says which file and what to try
   1  the program failed

Selvage measures the file, not the mouth. The dentist decides after looking.

More: selvage help VERB, or selvage help ` + `verdicts | exit-codes | case | roles | units | cautions
`

// topics are the pages, in the order in which they are worth reading.
var topics = []topic{
	{"verdicts", "What the four verdicts mean", `
clear        Nothing to scan again, nothing that needs the bur, and every measure of
             this stage was made. It is still for the dentist to review.
scan-again   Something is missing or unclear that the scanner can mend: dry it, open
             the margin if the finding says so, and scan that place again.
ask-dentist  Something may need the bur: too little room, an undercut, a blocked
             path. Also where the number is too close to its limit to call.
not-checked  A measure that this stage needs could not be made, or the files cannot
             be this mouth, this tooth or this version. It is never a pass.

The first that applies, in this order, is the verdict: wrong or unusable file; surface
or bite missing on which a measure rests; a finding that may need the bur; margin or
contact area; a measure that is absent; clear. All findings are listed whatever the
verdict. A finding that rests on a failed one is not raised: no clearance is judged in
a bite that is in doubt.

Every number carries ± U, which holds the truth about 95 times in 100 (k = 2). A value
nearer to its limit than U is too close to call.

Two stages: --stage preparation, before the gum is opened and while the handpiece is at
hand (bite, room, reduction, undercut, path); --stage final, everything, margin and
contact areas first.`},
	{"exit-codes", "Exit codes", `
   0  clear
  10  scan-again
  11  ask-dentist
  12  not-checked
   2  the input could not be used at all; standard error has one line
   1  the program failed, or was stopped

A script that wants to know only "may the patient go?" asks for 0.`},
	{"case", "A case on disk", `
    CASE/
      case.json        the prescription and the list of scans
      *.stl *.ply *.obj

Only the tooth and the scans are required; what is left out is reported as missing
from the prescription, never guessed:

    {
      "case": "demo-26",
      "restorations": [{
        "tooth": {"system": "fdi", "code": "26"},
        "kind": "crown",
        "material": "lithium-disilicate",
        "cement": "adhesive",
        "finish_line": "heavy-chamfer"
      }],
      "scans": [
        {"role": "working",  "file": "working.ply"},
        {"role": "opposing", "file": "opposing.stl"},
        {"role": "bite",     "file": "bite.stl"},
        {"role": "before",   "file": "before.stl"}
      ],
      "units": "mm"
    }

Without case.json name the tooth (--tooth 26) and the material; the roles then come
from the file names, else from the shapes (selvage help roles). Nothing is ever
written into the folder, and nothing in it is altered.`},
	{"roles", "What each scan shows", `
working      the arch that holds the prepared tooth; the one scan that is required
opposing     the other arch
bite         from the cheek's side, teeth closed
before       the working arch before the tooth was cut
preparation  the prepared tooth alone
design       the returned crown

Without case.json a file's name is read for whole words: upper, lower, maxilla,
mandible (with the tooth's jaw: working or opposing); prep, preparation, die; opposing,
antagonist; bite, buccal; before, preop, pre-op; working; design. Where the name says
nothing, or two things, the shape decides; where that is a tie, the command asks.

    selvage check FOLDER --tooth 26 --role working=scan7.stl --role opposing=scan8.stl`},
	{"units", "Units", `
STL, PLY and OBJ state no unit. case.json ("units": "mm") or --units decides: mm, cm,
m, in or um. Left out, the one unit in which the working arch has the size of an arch
and the other scans do not contradict it is used, and the report says so; where two are
plausible the command asks.`},
	{"cautions", "What to keep in mind", `
 1  It measures the file, not the mouth. The dentist decides after looking and probing.
 2  It cannot see under tissue, blood, saliva or a surface that the scanner filled in.
 3  Accuracy is limited by the scan, the bite and the mesh. Numbers carry ± values.
 4  Clearance is static: no movement of the jaw or of the teeth is included.
 5  Limits come from a table (selvage limits) with its source on every row.
 6  It does not detect caries, cracks, an exposed pulp, faults of material or allergy.
 7  The original files are not altered.
 8  It is not for diagnosis, and no substitute for local law on who may do what.`},
}
