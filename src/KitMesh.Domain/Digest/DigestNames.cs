using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.Domain.Digest;

/// <summary>Finds the names behind a line's tags among the kit that is declared here.</summary>
public sealed class DigestNames
{
    private readonly ILookup<NameTag, KitId> _teams;
    private readonly ILookup<NameTag, KitId> _banks;
    private readonly ILookup<NameTag, KitId> _drives;
    private readonly ILookup<NameTag, string> _rules;
    private readonly ILookup<NameTag, string> _subjects;

    /// <summary>The names of a trip.</summary>
    /// <param name="kit">What is declared; other kinds are alert subjects too.</param>
    /// <param name="rules">The names of the alert rules.</param>
    public DigestNames(IEnumerable<KitItem> kit, IEnumerable<string> rules)
    {
        ArgumentNullException.ThrowIfNull(rules);
        KitItem[] all = [.. kit];
        _teams = Lookup(all.OfType<Team>());
        _banks = Lookup(all.OfType<Bank>());
        _drives = Lookup(all.OfType<Drive>());
        _rules = rules.Distinct(StringComparer.Ordinal).ToLookup(NameTag.Of);
        _subjects = all.Where(item => item is not CalendarDay).Select(item => item.Id.Value).Distinct(StringComparer.Ordinal).ToLookup(NameTag.Of);
    }

    /// <summary>The declared team; null when none or several fit.</summary>
    /// <param name="tag">Its tag.</param>
    public KitId? TeamOf(NameTag tag) => _teams[tag].Count() == 1 ? _teams[tag].Single() : null;

    /// <summary>A team in words.</summary>
    /// <param name="tag">Its tag.</param>
    public string Team(NameTag tag) => Words("team", tag, _teams[tag].Select(id => id.Value));

    /// <summary>A bank in words.</summary>
    /// <param name="tag">Its tag.</param>
    public string Bank(NameTag tag) => Words("bank", tag, _banks[tag].Select(id => id.Value));

    /// <summary>A drive in words.</summary>
    /// <param name="tag">Its tag.</param>
    public string Drive(NameTag tag) => Words("drive", tag, _drives[tag].Select(id => id.Value));

    /// <summary>An alert rule in words.</summary>
    /// <param name="tag">Its tag.</param>
    public string Rule(NameTag tag) => Words("alert", tag, _rules[tag]);

    /// <summary>What an alert is about, in words.</summary>
    /// <param name="tag">Its tag.</param>
    public string Subject(NameTag tag) => Words("thing", tag, _subjects[tag]);

    /// <summary>Names that share a tag, so that a line cannot tell them apart.</summary>
    public IEnumerable<string> Confusions() =>
        new[] { _teams, _banks, _drives }
            .SelectMany(lookup => lookup.Where(group => group.Count() > 1).Select(group => string.Join(" and ", group)))
            .Concat(_subjects.Where(group => group.Count() > 1).Select(group => string.Join(" and ", group)))
            .Distinct(StringComparer.Ordinal);

    private static ILookup<NameTag, KitId> Lookup(IEnumerable<KitItem> items) => items.Select(item => item.Id).Distinct().ToLookup(NameTag.Of);

    private static string Words(string kind, NameTag tag, IEnumerable<string> names)
    {
        string words = string.Join(" or ", names.Order(StringComparer.Ordinal));
        return words.Length == 0 ? $"{kind} {tag}" : words;
    }
}
