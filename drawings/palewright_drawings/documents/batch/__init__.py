"""The papers of a batch: saw plan, labels, kit cards, buying list; each as PDF and as data."""
