// Package prescription knows what a prescription for a crown must say, by law, by the
// laboratory and by the trade, and what in it does not go together.
//
// The prescription itself is a [casefile.Case]. Nothing here is filled in by guess: what
// is missing is listed, and what a profile fills in is what somebody wrote there. It is
// information for those who write prescriptions, and no legal advice.
package prescription

import (
	"slices"

	"selvage/internal/casefile"
	"selvage/limit"
)

// Field is one thing that a prescription says, by its name in case.json.
type Field string

// The fields that may be asked for.
const (
	Written           Field = "dates.written"
	Prepared          Field = "dates.prepared"
	Due               Field = "dates.due"
	Seat              Field = "dates.seat"
	PrescriberName    Field = "prescriber.name"
	PrescriberLicence Field = "prescriber.licence"
	PrescriberAddress Field = "prescriber.address"
	PrescriberPhone   Field = "prescriber.phone"
	LaboratoryName    Field = "laboratory.name"
	LaboratoryAddress Field = "laboratory.address"
	LaboratoryLicence Field = "laboratory.licence"
	PatientReference  Field = "patient.reference"
	PatientName       Field = "patient.name"
	CaseNumber        Field = "case"
	Disinfected       Field = "disinfection"
	Subcontracting    Field = "subcontracting"
	Kind              Field = "kind"
	Material          Field = "material"
	Grade             Field = "grade"
	Cement            Field = "cement"
	FinishLine        Field = "finish_line"
	MadeBy            Field = "made_by"
	ShadeGuide        Field = "shade.guide"
	ShadeBody         Field = "shade.body"
	ShadeStump        Field = "shade.stump"
	ContactMesial     Field = "contacts.mesial"
	ContactDistal     Field = "contacts.distal"
	Centric           Field = "occlusion.centric"
	Excursions        Field = "occlusion.excursions"
	IfSpaceShort      Field = "if_space_short"
)

// Fields lists the fields that may be asked for, those of the whole order first.
func Fields() []Field { return append(slices.Clone(ofOrder), ofTooth...) }

var ofOrder = []Field{
	CaseNumber, Written, Prepared, Due, Seat, PrescriberName, PrescriberLicence, PrescriberAddress, PrescriberPhone,
	LaboratoryName, LaboratoryAddress, LaboratoryLicence, PatientReference, PatientName, Disinfected, Subcontracting,
}

var ofTooth = []Field{
	Kind, Material, Grade, Cement, FinishLine, MadeBy, ShadeGuide, ShadeBody, ShadeStump, ContactMesial, ContactDistal,
	Centric, Excursions, IfSpaceShort,
}

// order returns the text of a field of the whole order.
func order(c casefile.Case, f Field) string {
	switch f {
	case CaseNumber:
		return c.Name
	case Written:
		return c.Dates.Written
	case Prepared:
		return c.Dates.Prepared
	case Due:
		return c.Dates.Due
	case Seat:
		return c.Dates.Seat
	case PrescriberName:
		return c.Prescriber.Name
	case PrescriberLicence:
		return c.Prescriber.Licence
	case PrescriberAddress:
		return c.Prescriber.Address
	case PrescriberPhone:
		return c.Prescriber.Phone
	case LaboratoryName:
		return c.Laboratory.Name
	case LaboratoryAddress:
		return c.Laboratory.Address
	case LaboratoryLicence:
		return c.Laboratory.Licence
	case PatientReference:
		return c.Patient.Reference
	case PatientName:
		return c.Patient.Name
	case Subcontracting:
		return string(c.Subcontract)
	case Disinfected:
		if c.Disinfection.Stated() {
			return "stated"
		}
	}
	return ""
}

// ofRestoration returns the text of a field of one restoration.
func ofRestoration(r casefile.Restoration, f Field) string {
	switch f {
	case Kind:
		return string(r.Kind)
	case Material:
		return string(r.Material)
	case Grade:
		return r.Grade
	case Cement:
		return string(r.Cement)
	case FinishLine:
		return string(r.FinishLine)
	case MadeBy:
		return string(r.MadeBy)
	case ShadeGuide:
		return r.Shade.Guide
	case ShadeBody:
		return r.Shade.Body
	case ShadeStump:
		return r.Shade.Stump
	case ContactMesial:
		return r.Contacts.Mesial
	case ContactDistal:
		return r.Contacts.Distal
	case Centric:
		return r.Occlusion.Centric
	case Excursions:
		return r.Occlusion.Excursions
	case IfSpaceShort:
		return string(r.IfSpaceShort)
	}
	return ""
}

// coloured reports whether a material has a colour to choose; an unknown one may.
func coloured(m limit.Material) bool { return m != limit.NobleAlloy && m != limit.BaseAlloy }
