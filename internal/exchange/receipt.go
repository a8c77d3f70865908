package exchange

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// ReceiptSchema names the form of a receipt.
const ReceiptSchema = "selvage.receipt/1"

// Receipt is what a laboratory answers to a parcel.
type Receipt struct {
	Schema string `json:"schema" doc:"Always selvage.receipt/1."`
	Parcel string `json:"parcel" doc:"Which parcel, as its manifest names it."`
	Answer Answer `json:"answer" doc:"accept, query or refuse."`
	Reason Reason `json:"reason,omitempty" doc:"Why it is queried or refused."`
	Text   string `json:"text,omitempty" doc:"In words."`
	By     string `json:"by" doc:"Who answers."`
	At     string `json:"at" doc:"When, RFC 3339."`
	Due    string `json:"due,omitempty" doc:"When the work will be back, as 2026-05-04, where it is accepted."`
}

// Answer is what a laboratory says.
type Answer string

// The answers.
const (
	Accept Answer = "accept"
	Query  Answer = "query"
	Refuse Answer = "refuse"
)

// Answers lists the answers.
func Answers() []Answer { return []Answer{Accept, Query, Refuse} }

// Reason is why a parcel is queried or refused.
type Reason string

// The reasons: what about the scan, the preparation, the prescription, the parcel.
const (
	MarginDoubt   Reason = "margin-unclear"
	ScanMissing   Reason = "surface-missing"
	BiteDoubt     Reason = "bite-doubtful"
	SpaceShort    Reason = "space-short"
	UndercutThere Reason = "undercut"
	ShadeDoubt    Reason = "shade"
	MaterialDoubt Reason = "material"
	DateDoubt     Reason = "date"
	OrderDoubt    Reason = "prescription-incomplete"
	FileDoubt     Reason = "file-unreadable"
	OtherReason   Reason = "other"
)

// ReceiptReasons lists the reasons, in the order in which they are offered.
func ReceiptReasons() []Reason {
	return []Reason{MarginDoubt, ScanMissing, BiteDoubt, SpaceShort, UndercutThere, ShadeDoubt, MaterialDoubt, DateDoubt, OrderDoubt, FileDoubt, OtherReason}
}

// Check returns what is wrong with a receipt, or nil.
func (r Receipt) Check() error {
	switch {
	case !slices.Contains(Answers(), r.Answer):
		return errors.New("the receipt does not say whether the work is accepted, queried or refused")
	case r.Answer != Accept && !slices.Contains(ReceiptReasons(), r.Reason):
		return errors.New("the receipt does not say why")
	case strings.TrimSpace(r.By) == "":
		return errors.New("the receipt does not say who answers")
	case len(r.Text) > 2000 || len(r.By) > 100 || !utf8.ValidString(r.Text) || !utf8.ValidString(r.By):
		return errors.New("the receipt says too much")
	}
	if _, err := time.Parse(time.RFC3339, r.At); err != nil {
		return errors.New("the receipt does not say when")
	}
	if r.Due != "" {
		if _, err := time.Parse(time.DateOnly, r.Due); err != nil {
			return errors.New("the day on the receipt is none")
		}
	}
	return nil
}

// ParseReceipt reads the file that a laboratory sends back.
func ParseReceipt(data []byte) (Receipt, error) {
	var r Receipt
	if err := json.Unmarshal(data, &r); err != nil {
		return r, fmt.Errorf("this is no receipt (%w)", err)
	}
	if r.Schema != ReceiptSchema {
		return r, errors.New("this is no receipt")
	}
	return r, r.Check()
}
