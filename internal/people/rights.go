package people

import "slices"

// Role is what somebody does here. One person may have several.
type Role string

// The roles.
const (
	Assistant  Role = "assistant"
	Dentist    Role = "dentist"
	Technician Role = "technician"
	Manager    Role = "manager"
	Lead       Role = "lead" // the clinical lead, who answers for how people work
)

// The roles of other programs, which no person has.
const (
	Sender  Role = "sender"  // brings scans and reads what was found
	Reader  Role = "reader"  // reads what was found
	Monitor Role = "monitor" // reads how this program fares, and nothing of a case
)

// Action is something that not everybody may do.
type Action string

// The actions.
const (
	See    Action = "see"    // read cases and what happened in them
	Check  Action = "check"  // bring files, say what they show, have them measured
	Plan   Action = "plan"   // write a prescription
	Send   Action = "send"   // send a case, say what follows later, note what came back
	Decide Action = "decide" // accept, touch up or scan again
	Judge  Action = "judge"  // say whether an alarm was right
	Sign   Action = "sign"   // sign a case
	Staff  Action = "staff"  // say who works here and what they may do
	Limits Action = "limits" // change the limits and how the program behaves
	Delete Action = "delete" // hold a case, or have a part in deleting its files
	Gauges Action = "gauges" // read how the program fares

	Quality Action = "quality" // read how the practice's work turned out, without persons
	Persons Action = "persons" // read how the work of others turned out
)

// rights says who may do what. Everyone at the chair sees and checks; what is owed to
// the patient is the dentist's; what the practice is run by is the manager's. How a
// person's own work turned out is for that person and the clinical lead: who runs the
// practice does not see it by that alone.
var rights = map[Action][]Role{
	See:    {Assistant, Dentist, Technician, Manager, Lead, Sender, Reader},
	Check:  {Assistant, Dentist, Technician, Manager, Sender},
	Plan:   {Assistant, Dentist, Manager},
	Send:   {Assistant, Dentist, Manager},
	Decide: {Dentist},
	Judge:  {Dentist},
	Sign:   {Dentist},
	Staff:  {Manager},
	Limits: {Manager},
	Delete: {Dentist, Manager},
	Gauges: {Manager, Monitor},

	Quality: {Dentist, Manager, Lead},
	Persons: {Lead},
}

// withoutPeople is what this computer may do before anybody is known: a check needs no
// name, a decision does.
var withoutPeople = []Action{See, Check, Plan, Gauges}

// Roles lists the roles in the order in which they are offered.
func Roles() []Role { return []Role{Dentist, Assistant, Technician, Manager, Lead} }

// ProgramRoles lists the roles of other programs in the order in which they are offered.
func ProgramRoles() []Role { return []Role{Sender, Reader, Monitor} }

// Actions lists the actions.
func Actions() []Action {
	return []Action{See, Check, Plan, Send, Decide, Judge, Sign, Staff, Limits, Delete, Gauges, Quality, Persons}
}

// Who returns the roles that may do a.
func Who(a Action) []Role { return slices.Clone(rights[a]) }

// May reports whether a person may do a. Somebody who left may do nothing.
func (p Person) May(a Action) bool {
	if p.ID == "" || p.Left {
		return false
	}
	return slices.ContainsFunc(p.Roles, func(r Role) bool { return slices.Contains(rights[a], r) })
}

// MayAnyone reports whether this computer may do a before anybody is known.
func MayAnyone(a Action) bool { return slices.Contains(withoutPeople, a) }
