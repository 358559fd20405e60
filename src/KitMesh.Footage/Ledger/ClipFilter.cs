using KitMesh.Domain.Reports;
using KitMesh.Domain.Results;

namespace KitMesh.Footage.Ledger;

/// <summary>A ledger query turned into look-ups that cost a few instructions a clip.</summary>
internal sealed class ClipFilter
{
    private readonly LedgerQuery _query;
    private readonly bool[]? _drives;
    private readonly bool[]? _cases;
    private readonly bool[]? _cards;
    private readonly bool[]? _sources;
    private readonly int? _day;
    private readonly HashSet<int>? _onCard;

    public ClipFilter(JudgedLedger ledger, LedgerQuery query)
    {
        _query = query;
        _onCard = query is { StillOnCard: true, Card: { } held } ? ledger.HeldContents.GetValueOrDefault(held) ?? [] : null;
        _drives = query.Drive is { } drive ? Sets(ledger.DriveSets, rank => ledger.DrivesByRank[rank].Name == drive) : null;
        _cases = query.Case is { } inside ? Sets(ledger.DriveSets, rank => ledger.DrivesByRank[rank].Case == inside) : null;
        _cards = query.Card is { } card ? Sets(ledger.CardSets, rank => ledger.CardNames[rank] == card) : null;
        _sources = query.Source is null && query.Team is null
            ? null
            : [.. ledger.Sources.Select(source =>
                (query.Source is null || source.Source == query.Source) && (query.Team is null || source.Team == query.Team))];
        _day = query.Day is { } day ? (int)(NodaTime.Period.DaysBetween(new NodaTime.LocalDate(1970, 1, 1), day)) : null;
    }

    /// <summary>The stretch of the ordered clips that can match.</summary>
    /// <param name="entries">The clips, by day.</param>
    /// <param name="only">Position of the only clip that is asked for (-1 when it is not known), or null for all.</param>
    public (int From, int To) Range(ClipEntry[] entries, int? only)
    {
        if (only is { } at)
        {
            return at < 0 ? (0, 0) : (at, at + 1);
        }

        return _day is { } day ? (FirstFrom(entries, day), FirstFrom(entries, day + 1)) : (0, entries.Length);
    }

    /// <summary>Whether groups alone decide: no single clip is asked for.</summary>
    public bool IsByGroup => _onCard is null && _query.Clip is null;

    /// <summary>Whether the clip at this place may pass, whatever its group.</summary>
    public bool PassesAlone(int at) => _onCard is null || _onCard.Contains(at);

    /// <summary>Whether the clips of a group pass.</summary>
    public bool Passes(in ClipGroup group) =>
        (_day is not { } day || group.Day == day)
        && (_drives is null || _drives[group.Drives])
        && (_cases is null || _cases[group.Drives])
        && (_cards is null || _cards[group.Cards])
        && (_sources is null || _sources[group.Source])
        && (!_query.ShortOnly || !group.MeetsRule);

    private static int FirstFrom(ClipEntry[] entries, int day)
    {
        (int low, int high) = (0, entries.Length);
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = entries[middle].Day < day ? (middle + 1, high) : (low, middle);
        }

        return low;
    }

    private static bool[] Sets(IdSets sets, Func<int, bool> matches)
    {
        var passing = new bool[sets.Count];
        for (int set = 0; set < passing.Length; set++)
        {
            foreach (int member in sets[set])
            {
                passing[set] |= matches(member);
            }
        }

        return passing;
    }
}
