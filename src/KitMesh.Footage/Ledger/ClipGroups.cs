using System.Runtime.InteropServices;

namespace KitMesh.Footage.Ledger;

/// <summary>
/// The clips sorted into groups that a query takes whole or leaves.
/// </summary>
/// <remarks>
/// A walk over a million judged clips reads 90 MB for one query, and the slowest of many took longer than a person's
/// glance. A query asks by day, source, drives, cards and rule; clips that agree in all five pass or fail together, so
/// each group is asked once, its sums are ready, and only the listed rows are looked for, four bytes a clip.
/// </remarks>
internal sealed class ClipGroups
{
    private readonly int[] _groupOf;
    private readonly List<ClipGroup> _groups = [];
    private readonly List<(int Clips, long Size)> _sums = [];

    public ClipGroups(ClipEntry[] entries)
    {
        _groupOf = new int[entries.Length];
        Dictionary<ClipGroup, int> numbers = [];
        ClipGroup last = default;
        int number = -1;
        for (int at = 0; at < entries.Length; at++)
        {
            ref ClipEntry entry = ref entries[at];
            var group = new ClipGroup(entry.Day, entry.Source, entry.AllDrives, entry.Cards, entry.MeetsRule);
            if (number < 0 || group != last)
            {
                number = Number(numbers, group);
                last = group;
            }

            _groupOf[at] = number;
            ref (int Clips, long Size) sum = ref CollectionsMarshal.AsSpan(_sums)[number];
            sum.Clips++;
            sum.Size += Math.Max(0, entry.Facts.Size);
        }
    }

    /// <summary>The groups.</summary>
    public IReadOnlyList<ClipGroup> All => _groups;

    /// <summary>How many clips a group has, and their bytes.</summary>
    public (int Clips, long Size) Sum(int group) => _sums[group];

    /// <summary>The group of each clip, in the order of the clips.</summary>
    public ReadOnlySpan<int> GroupOf => _groupOf;

    private int Number(Dictionary<ClipGroup, int> numbers, ClipGroup group)
    {
        ref int slot = ref CollectionsMarshal.GetValueRefOrAddDefault(numbers, group, out bool known);
        if (!known)
        {
            slot = _groups.Count;
            _groups.Add(group);
            _sums.Add(default);
        }

        return slot;
    }
}
