"""Every sentence that the bot says, in English. Another language is another folder with the same functions."""
