package folders

// A page sees no folders: files are dropped on it.

// Here is the folder in which the program was started: none.
func Here() string { return "" }

// List is what is in a folder: nothing.
func List(string, ...string) ([]Entry, error) { return nil, nil }
