// The family app.
