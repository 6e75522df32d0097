"""From patterns to a shop's cuts: layouts, crosscuts, settings, and labour against boards."""
