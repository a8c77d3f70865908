package prescription

import "slices"

// Rule is what the law of a place asks of a prescription to a laboratory, and of what comes
// back with the work.
type Rule struct {
	Key     string // as in case.json
	Place   string
	Title   string   // that the document must carry; empty: any
	Need    []Field  // those that the text that was read names
	Core    bool     // what the rules of the states have in common is asked besides
	Ink     bool     // the text wants a signature in ink
	Years   int      // for which it is kept; 0: the text says none
	Source  string   // the text that was read
	Note    string   // what else it says
	Returns []Return // what the laboratory returns with the work
}

// Return is something that a laboratory hands back with the work.
type Return string

// What is handed back.
const (
	ReturnMaterials    Return = "materials"
	ReturnOrigin       Return = "origin"       // the country of making
	ReturnPlace        Return = "place"        // where it was made
	ReturnMaker        Return = "maker"        // who made it
	ReturnRegistration Return = "registration" // of the laboratory with the authority
	ReturnOthers       Return = "others"       // the workshops that helped
	ReturnDisinfection Return = "disinfection" // how it was disinfected
	ReturnStatement    Return = "statement"    // of the maker of a custom-made device
)

// Returns lists what may be handed back.
func Returns() []Return {
	return []Return{ReturnMaterials, ReturnOrigin, ReturnPlace, ReturnMaker, ReturnRegistration, ReturnOthers, ReturnDisinfection, ReturnStatement}
}

// core is what the rules of the states have in common: who, with what licence, for whom,
// when, what, of what. A signature is asked for as well, and given by signing.
var core = []Field{Written, PrescriberName, PrescriberLicence, PatientReference, Kind, Material}

// CoreSource says where the core comes from.
const CoreSource = "what the rules of the states have in common: date, dentist, licence, patient, work, material, signature"

// Asks lists all that is asked under a rule.
func (r Rule) Asks() []Field {
	out := slices.Clone(r.Need)
	for _, f := range core {
		if r.Core && !slices.Contains(out, f) {
			out = append(out, f)
		}
	}
	return out
}

// rules are the rules whose text was read, by key.
var rules = []Rule{
	{
		Key: "us-fl", Place: "Florida", Title: "Laboratory Procedure Prescription", Years: 4, Core: true,
		Need: []Field{
			LaboratoryName, LaboratoryAddress, LaboratoryLicence, PrescriberName, PrescriberAddress, PrescriberLicence, PatientReference, Written, Kind, Material,
		},
		Source: "Fla. Admin. Code 64B5-17.006", Note: "The signature may be electronic; an electronic copy is kept encrypted.",
	},
	{
		Key: "us-md", Place: "Maryland", Core: true,
		Need:   []Field{LaboratoryName, LaboratoryAddress, PatientReference, Written, Kind, Material, PrescriberName, PrescriberLicence},
		Source: "Md. Code, Health Occ. § 4-403", Note: "A duplicate is kept.",
	},
	{
		Key: "us-mt", Place: "Montana", Years: 2, Core: true,
		Need:   []Field{LaboratoryName, LaboratoryAddress, PatientReference, Written, Kind, Material, Grade, PrescriberLicence},
		Source: "Mont. Code § 37-4-501", Note: "Material by type and quality; where a number stands for the patient, the dentist's copy has the name.",
	},
	{
		Key: "us-wv", Place: "West Virginia", Years: 2, Core: true,
		Need:   []Field{LaboratoryName, CaseNumber, Material, Kind, Written, PrescriberAddress},
		Source: "W. Va. Code § 30-4B-2", Note: "One prescription for each patient; a duplicate is kept.",
	},
	{
		Key: "us-ok", Place: "Oklahoma", Years: 3, Core: true,
		Need:   []Field{CaseNumber},
		Source: "59 Okla. Stat. § 328.36a", Note: "At least what the board's form asks. Models and appliances carry the number of the prescription or the patient's name.",
	},
	{
		Key: "us-oh", Place: "Ohio", Years: 2, Core: true, Ink: true,
		Need:   []Field{LaboratoryName, PatientReference, Kind, Material, Written, PrescriberLicence, PrescriberAddress},
		Source: "Ohio Adm. Code 4715-5-02", Note: "Signed in ink.",
		Returns: []Return{ReturnMaterials, ReturnPlace, ReturnRegistration, ReturnOthers, ReturnDisinfection},
	},
	{
		Key: "us-sc", Place: "South Carolina", Core: true,
		Need: []Field{
			LaboratoryName, LaboratoryAddress, PrescriberName, PrescriberAddress, PrescriberPhone, PrescriberLicence, PatientName, Kind, Material, Centric, Excursions, ShadeBody,
			Disinfected,
		},
		Source: "S.C. Code Regs. 39-8; S.C. Code § 40-15-125", Note: "The patient's name stands on the order. Whatever touched the patient is disinfected and marked so, both ways.",
		Returns: []Return{ReturnOrigin, ReturnMaterials, ReturnMaker, ReturnDisinfection},
	},
	{
		Key: "us-mn", Place: "Minnesota", Core: true,
		Source: "Minn. Stat. § 150A.27", Note: "The laboratory's notice goes into the patient's record.",
		Returns: []Return{ReturnMaterials, ReturnOrigin},
	},
	{
		Key: "us-tx", Place: "Texas", Core: true,
		Source: "22 Tex. Admin. Code ch. 116", Note: "The work is labelled with where it was made.",
		Returns: []Return{ReturnOrigin},
	},
	{
		Key: "us-ct", Place: "Connecticut", Years: 1, Core: true,
		Source: "Conn. Gen. Stat. § 20-122a", Note: "On the commission's form.",
	},
	{
		Key: "us-ny", Place: "New York", Years: 1, Core: true,
		Source: "N.Y. Educ. Law § 6611", Note: "In duplicate, with what the commissioner asks.",
	},
	{
		Key: "us", Place: "United States, another state", Years: 4, Core: true,
		Need:   []Field{LaboratoryName, LaboratoryAddress},
		Source: "most of the state texts that were read; kept as long as the longest of them asks", Note: "Look into your own state's rule.",
	},
	{
		Key: "eu", Place: "European Union", Years: 10,
		Need:   []Field{Written, PrescriberName, PrescriberAddress, PatientReference, CaseNumber, LaboratoryName, LaboratoryAddress, Kind, Material},
		Source: "Regulation (EU) 2017/745, Art. 2(3) and Annex XIII", Note: "A custom-made device on a written prescription for one patient. The maker's statement names prescriber and institution, and the patient by name, acronym or number; it is kept for ten years.",
		Returns: []Return{ReturnStatement},
	},
}

// Rules lists the rules, in the order in which they are offered.
func Rules() []Rule { return slices.Clone(rules) }

// RuleOf returns the rule of a key; ok is false where there is none.
func RuleOf(key string) (r Rule, ok bool) {
	for _, r := range Rules() {
		if r.Key == key {
			return r, true
		}
	}
	return Rule{}, false
}
