package page

// Hash is how a policy names a script or style.
var Hash = hash
