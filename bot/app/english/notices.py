"""What is said at the door, by buttons, and after a long stop: sentences that no note brings about."""

CLAIMED = "This bot is yours now. Write a note as you would at the bench: watered tray 3."
JOINED = "You are in, as {role}. Write a note as you would at the bench, or ask: whats due"
JOINED_AS_GUEST = "You are in, as guest: you can ask, not write. Try: whats due"
GROWER = "You are in, with a collection of your own that nobody else sees. Write a note as you would at the bench."
USED = "Your invitation was used: somebody joined as {role}."
PRIVATE = "This bot is private."
UNCLAIMED = "This bot has no owner yet. If it is yours, send the code that it showed when it started."
WORDLESS = "I read words, not {content}. Write a caption or a note."
INVITED = "Pass this on to your {role}. It works once, until {until}:\n{link}"
INVITED_GROWER = (
    "Pass this on to the other grower: a collection of their own, apart from yours. It works once, until {until}:\n{link}"
)
HOST_ONLY = "Only whoever set this bot up can invite another grower. You can invite a helper or a guest."
OWNERS_ONLY = "Only an owner of the collection can invite."
TOO_FAST = "Too many messages at once: I left out what came last. Write it again in a minute."
GUESTS_READ = "You can ask here, not write: you are a guest."

STALE = "This button is too old. Write it instead."
ALREADY = "Already done."

WHICH_PLANT = "Got the photo. Which plant is it? Answer with its number."
PHOTO_LOST = "A photo of {day} could not be kept: {reason}. Send it again."
SHEET_TAKEN_IN = "Got {name}. I look at it."
SHEET_TOO_LARGE = "{name} is too large: at most 5 MB. Send it in parts."
SHEET_LOST = "{name} could not be fetched. Send it again."
OWNERS_BRING_PLANTS = "Only an owner of the collection can bring in a list of plants."
TOO_LARGE = "files of more than 20 MB"

LOST = "I was out of reach. What you wrote between {since} and {until} may not have arrived; please write it again."
