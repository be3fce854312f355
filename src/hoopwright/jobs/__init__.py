"""One free function for each thing that a person asks for. Import the module that is needed."""
