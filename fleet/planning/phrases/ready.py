"""What the gates of readiness say, in English; catalogues in reports/locale hold it in the other languages."""

from fleet.planning.sentences import Phrase, later, later_many


class Age(Phrase):
    """How old the newest copy is, and the last drill."""

    COPY_UNSAID = later("The newest sound snapshot does not say when it was taken.")
    COPY_AHEAD = later(
        "The newest sound snapshot says that it was taken {span} from now; the clock of the machine that took it is "
        "doubtful."
    )
    COPY_NO_LIMIT = later("The newest sound snapshot is {age} old; no limit is known to judge it by.")
    COPY = later("The newest sound snapshot is {age} old; the limit is {limit}.")
    DRILL_NEVER = later("No drill on the bench or in the home was ever held.")
    DRILL_FAILED = later("The last drill, {age} ago, failed.")
    DRILL = later("The last drill was {age} ago; the limit is {limit}.")


class Basic(Phrase):
    """What must be known of a mesh before it can be judged."""

    RADIO = later("the radio in service")
    MODEL = later("the radio's model")
    FIRMWARE = later("the radio's firmware release")
    POINT = later("the promised recovery point")
    TIME = later("the promised recovery time")
    POSITION = later("the home's position")


class Against(Phrase):
    """What keeps a spare from counting. These stand within a sentence."""

    BUILD_UNKNOWN = later("the firmware of spare {spare} is not known")
    BARRED = later("firmware {firmware} of spare {spare} is barred")
    POLICY_UNKNOWN = later("whether firmware {firmware} of spare {spare} is barred is not known")
    NOT_BLANK = later("spare {spare} is not proven blank")
    NO_FIT = later("spare {spare} cannot take over")
    NO_FIT_BECAUSE = later("spare {spare} cannot take over ({why})")
    WAY_UNKNOWN = later("how long spare {spare} takes to {mesh} is not known")
    TOO_FAR = later("spare {spare} is {away} away and the promise is {promised}")
    MORE = later("and {count} more")


class Ready(Phrase):
    """The reasons of the gates."""

    COVERED = later("{mesh} is covered.")
    BASICS_KNOWN = later("Radio, firmware and promises are known.")
    BASICS_MISSING = later("Not known of {mesh}: {what}.")
    COPY_SOUND = later("There is a sound snapshot of {mesh}.")
    COPY_NONE = later("There is no snapshot of {mesh}.")
    COPY_UNFIT = later("No snapshot of {mesh} can be restored: {what}.")
    COPY_UNSOUND = later("{count} not sound")
    COPY_LOCKED_OUT = later("{count} locked out by a newer key")
    COPY_OTHER = later("{count} for another identity")
    COPY_NO_SOUND = later("There is no sound snapshot to judge.")
    SEEN_LIVE = later("A snapshot of {mesh} was seen to match the live mesh.")
    SEEN_LIVE_UNKNOWN = later(
        "Whether a snapshot of {mesh} was ever seen to match the live mesh is not known."
    )
    SEEN_LIVE_NEVER = later("No snapshot of {mesh} was ever seen to match the live mesh.")
    DRILL_NO_INTERVAL = later("No drill interval is agreed for {mesh}.")
    SPARE = later("Spare {spare} is blank and in reach.")
    SPARE_NONE = later("There is no spare for {mesh}.")
    SPARE_COUNTS_NOT = later("No spare counts: {why}.")
    SPARE_NOT_SURE = later("No spare is sure to count: {why}.")
    SPARE_NO_JUDGING = later("There is no spare that counts to judge.")
    VERDICT = later("The verdict on spare {spare} is {verdict}.")
    UNTESTED = later("Spare {spare} is untested for this mesh.")
    UNTESTED_BECAUSE = later("Spare {spare} is untested for this mesh: {why}.")
    TIME_UNKNOWN = later("How long a restore of {mesh} takes with spare {spare} is not known.")
    TIME = later("A restore with spare {spare} takes up to {takes}; {promised} are promised.")
    HANDWORK_UNKNOWN = later("How many devices must be joined again with spare {spare} is not known.")
    HANDWORK_NONE = later("With spare {spare} no device must be joined again.")
    HANDWORK = later_many(
        "With spare {spare}, {n} device must be joined again by hand.",
        "With spare {spare}, {n} devices must be joined again by hand.",
    )
    HANDWORK_BECAUSE = later_many(
        "With spare {spare}, {n} device must be joined again by hand: {why}.",
        "With spare {spare}, {n} devices must be joined again by hand: {why}.",
    )


class Gate(Phrase):
    """A gate that was not passed, where nothing more is kept of it than its name."""

    BASICS = later("Something that must be known was missing.")
    SNAPSHOT = later("There was no snapshot that could be restored.")
    SPARE = later("No spare was sure to count.")
    FRESH = later("The newest sound snapshot was not known to be fresh.")
    SEEN_LIVE = later("No snapshot was known to match the live mesh.")
    DRILL = later("No drill was passed in time.")
    TESTED = later("The spare was untested for the mesh.")
    IN_TIME = later("A restore was not known to keep the promised time.")
    NO_HANDWORK = later("Devices would have had to be joined again by hand.")


class Act(Phrase):
    """What lifts a gate that was not passed."""

    ENTER = later("Enter {what} for {mesh}.")
    TAKE_COPY = later("Take a snapshot at {mesh} and send it in.")
    SET_CLOCK = later("Set the clock of the controller at {mesh}, then take a snapshot and send it in.")
    COMPARE = later("Compare the newest snapshot of {mesh} with the live mesh.")
    ENTER_INTERVAL = later("Enter the drill interval for {mesh}.")
    HOLD_DRILL = later("Hold a drill for {mesh}.")
    READ_OUT = later("Read out the firmware of spare {spare}.")
    LOAD_FIRMWARE = later("Load an allowed firmware onto spare {spare}.")
    ENTER_POLICY = later("Enter the policy on firmware {firmware}.")
    PROVE_BLANK = later("Prove that spare {spare} is blank.")
    ANOTHER_SPARE = later("Get another spare for {mesh}.")
    ENTER_PLACE = later("Enter where spare {spare} lies.")
    MOVE_SPARE = later("Move spare {spare} nearer to {mesh}.")
    GET_SPARE = later("Get a spare for {mesh}.")
    GET_SPARE_FITTING = later("Get a spare that fits for {mesh}.")
    GET_SPARE_FOR_MODEL = later("Get a spare that fits {model} for {mesh}.")
    TRY_SPARE = later("Try spare {spare} in a drill on the bench.")
    ENTER_WAY = later("Enter the way to {mesh} and its device count.")
    KEEP_NEARER = later("Keep spare {spare} nearer to {mesh}.")
    AGREE_TIME = later("Agree a recovery time of {time} or more for {mesh}.")
    JUDGE_SPARE = later("Judge spare {spare} against the newest snapshot of {mesh}.")
    PLAN_HANDWORK = later("Plan that handwork, or get a spare for {mesh} without it.")
    AFTER_STRANDING = later("Give a radio a new number before it speaks, or join the devices anew.")
    AFTER_SILENCE = later("Go on with the replacement; its card says what comes next.")
