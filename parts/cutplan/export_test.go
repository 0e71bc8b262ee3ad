package cutplan

// SheetOf rebuilds a sheet from its drawing in testdata.
var SheetOf = sheetOf
