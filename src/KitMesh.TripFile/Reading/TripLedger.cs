using KitMesh.Domain;
using KitMesh.Domain.Exchange;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Planning;
using KitMesh.Domain.Reports;

namespace KitMesh.TripFile.Reading;

/// <summary>What one reading of a file has found: items, names declared, names used, problems.</summary>
internal sealed class TripLedger(string file)
{
    private readonly Dictionary<(KitKind Kind, KitId Id), int> _declared = [];
    private readonly List<(int Line, string Key, KitId Id, KitKind[] Kinds)> _used = [];
    private readonly List<TripProblem> _problems = [];

    /// <summary>Items of sound entries, in the file's order.</summary>
    public List<KitItem> Items { get; } = [];

    /// <summary>Links of sound entries, for hubs only.</summary>
    public List<HubLink> Links { get; } = [];

    /// <summary>Gear of sound entries, for plans only.</summary>
    public List<Gear> Gear { get; } = [];

    /// <summary>Choices as they stand in the file.</summary>
    public List<ChosenEntry> Chosen { get; } = [];

    /// <summary>Choices whose items are known.</summary>
    public List<KitChoice> Choices { get; } = [];

    /// <summary>Everything wrong or odd so far.</summary>
    public IReadOnlyList<TripProblem> Problems => _problems;

    /// <summary>True when something is wrong, not only odd.</summary>
    public bool HasErrors => _problems.Exists(problem => !problem.IsQuestion);

    public void Error(int line, string key, string what, string mend) => _problems.Add(new TripProblem(file, line, key, what, mend));

    public void Question(int line, string key, string what, string mend) =>
        _problems.Add(new TripProblem(file, line, key, what, mend, IsQuestion: true));

    /// <summary>Line on which an item was declared.</summary>
    public int LineOf(KitItem item) => _declared.GetValueOrDefault((item.Kind, item.Id), 1);

    /// <summary>Notes that a name is declared; a second time is an error.</summary>
    public void Declare(KitKind kind, KitId id, int line, string key)
    {
        if (!_declared.TryAdd((kind, id), line))
        {
            Error(line, key, $"\"{id}\" stands twice among the {KindWords.Plural(kind)}.", $"Line {_declared[(kind, id)]} has it already: give one another name.");
        }
    }

    /// <summary>Notes that a name is used and must be declared somewhere in the file.</summary>
    public void Use(int line, string key, KitId id, KitKind[] kinds) => _used.Add((line, key, id, kinds));

    /// <summary>Adds an error for every used name that nothing declares.</summary>
    public void CheckNames()
    {
        foreach ((int line, string key, KitId id, KitKind[] kinds) in _used)
        {
            if (kinds.Any(kind => _declared.ContainsKey((kind, id))))
            {
                continue;
            }

            string what = string.Join(" or ", kinds.Select(KindWords.Singular));
            string[] known = [.. _declared.Keys.Where(declared => kinds.Contains(declared.Kind)).Select(declared => declared.Id.Value)];
            string mend = NearestWord.To(id.Value, known) is { } near ? $"Did you mean \"{near}\"?"
                : known.Length == 0 ? $"Declare it under \"{KindWords.Section(kinds[0])}:\"."
                : $"Declare it under \"{KindWords.Section(kinds[0])}:\", or use one of: {string.Join(", ", known.Take(8))}.";
            Error(line, key, $"No {what} is named \"{id}\".", mend);
        }
    }
}
