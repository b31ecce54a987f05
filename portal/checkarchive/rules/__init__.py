"""The rules, one module for each thing that archives get wrong."""
