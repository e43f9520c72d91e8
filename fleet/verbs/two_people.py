"""Whether two who must be two people are: by their accounts where both are known, by their names where one is not."""

from sites.models import Person


class Who(str):
    """A person by the name that the journal keeps, with the account behind it: two may bear one name."""

    user: int

    @classmethod
    def of(cls, person: Person) -> "Who":
        """As the book names this person."""
        who = cls(str(person))
        who.user = person.pk
        return who


def are_one(first: str, second: str) -> bool:
    """Names from a terminal carry no account: there a user name tells two of one name apart."""
    if isinstance(first, Who) and isinstance(second, Who):
        return first.user == second.user
    return first.strip().casefold() == second.strip().casefold()
