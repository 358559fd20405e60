namespace KitMesh.TestKit.Disk;

/// <summary>The names of a simulated disk: those that programs see, and those that the medium holds.</summary>
internal sealed class SimulatedNames
{
    private readonly List<NameChange> _changes = [];
    private SortedDictionary<string, SimulatedInode> _seen = new(StringComparer.Ordinal);
    private SortedDictionary<string, SimulatedInode> _medium = new(StringComparer.Ordinal);

    internal IEnumerable<KeyValuePair<string, SimulatedInode>> Seen => _seen;

    internal SimulatedInode? Find(string path) => _seen.GetValueOrDefault(path);

    internal void Change(string? gone, string? given, SimulatedInode? inode)
    {
        var change = new NameChange(Path.GetDirectoryName(given ?? gone)!, gone, given, inode);
        Apply(_seen, change);
        _changes.Add(change);
    }

    internal void Sync(string directory)
    {
        foreach (NameChange change in _changes.Where(change => change.Directory == directory))
        {
            Apply(_medium, change);
        }

        _changes.RemoveAll(change => change.Directory == directory);
    }

    /// <summary>Takes over what another medium holds.</summary>
    internal void TakeMedium(SimulatedNames other)
    {
        foreach ((string name, SimulatedInode inode) in other._medium)
        {
            SimulatedInode copy = inode.CopyOfMedium();
            _medium[name] = copy;
            _seen[name] = copy;
        }
    }

    internal void Cut(SeededRandom random, CutOutcome outcome)
    {
        // Journalling file systems keep a beginning of the changes; older ones any of them. Both happen here.
        bool anyOrder = random.OneIn(2);
        int beginning = random.Below(_changes.Count + 1);
        for (int i = 0; i < _changes.Count; i++)
        {
            bool survives = outcome == CutOutcome.Everything || (outcome == CutOutcome.Anything && (anyOrder ? random.OneIn(2) : i < beginning));
            if (survives)
            {
                Apply(_medium, _changes[i]);
            }
        }

        _changes.Clear();
        _seen = new(_medium, StringComparer.Ordinal);
        foreach (SimulatedInode inode in _seen.Values)
        {
            inode.Cut(random, outcome);
        }
    }

    private static void Apply(SortedDictionary<string, SimulatedInode> names, in NameChange change)
    {
        if (change.Gone is not null && (change.Inode is null || names.GetValueOrDefault(change.Gone) == change.Inode))
        {
            names.Remove(change.Gone);
        }

        if (change.Given is not null)
        {
            names[change.Given] = change.Inode!;
        }
    }
}
