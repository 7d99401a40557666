package wire

import "stubup/base/diag"

// Diags turns what is wrong with a document into its machine form; never nil.
func Diags(l diag.List) []Diag { return diags(l) }
