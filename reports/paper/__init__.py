"""The paper copy: a sealed snapshot as codes and as text to type, and how to open it again."""
