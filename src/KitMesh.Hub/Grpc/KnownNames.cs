using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;

namespace KitMesh.Hub.Grpc;

/// <summary>Names in questions. One that nothing bears is refused with those that there are: an empty answer would read as good news.</summary>
internal static class KnownNames
{
    private const int MostNamed = 12;

    /// <summary>A team of the trip; null when none is asked for.</summary>
    public static KitId? Team(TripState state, string text) => Find("team", text, [.. state.KitOf<Team>().Select(team => team.Id)]);

    /// <summary>One of the cards; null when none is asked for.</summary>
    public static KitId? Card(IEnumerable<KitId> cards, string text) => Find("card", text, [.. cards]);

    /// <summary>One of some drives; null when none is asked for.</summary>
    public static KitId? Drive(IEnumerable<KitId> drives, string text) => Find("drive", text, [.. drives]);

    /// <summary>A case of the trip; null when none is asked for.</summary>
    public static KitId? Case(TripState state, string text) => Find("case", text, [.. state.KitOf<Case>().Select(item => item.Id)]);

    /// <summary>One of some cameras and recorders; null when none is asked for.</summary>
    public static KitId? Source(IEnumerable<KitId> sources, string text) => Find("source", text, [.. sources]);

    /// <summary>Any name, well formed; null when none is asked for.</summary>
    public static KitId? Any(string field, string text)
    {
        if (text.Length == 0)
        {
            return null;
        }

        return KitId.TryParse(text, out KitId id) ? id : throw CallRefusedException.Bad(field, "A name has 1 to 100 printable characters.");
    }

    private static KitId? Find(string field, string text, KitId[] known)
    {
        if (Any(field, text) is not { } asked)
        {
            return null;
        }

        if (known.Contains(asked))
        {
            return asked;
        }

        KitId[] alike = [.. known.Where(name => name.Value.Equals(asked.Value, StringComparison.OrdinalIgnoreCase))];
        if (alike.Length == 1)
        {
            return alike[0];
        }

        string there = known.Length == 0
            ? $"No {field} is known here."
            : $"There are: {string.Join(", ", known.Order().Take(MostNamed))}{(known.Length > MostNamed ? $" and {known.Length - MostNamed} more" : "")}.";
        throw CallRefusedException.Bad(field, $"There is no {field} \"{asked}\". {there}");
    }
}
