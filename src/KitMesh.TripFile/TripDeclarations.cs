using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;

namespace KitMesh.TripFile;

/// <summary>What must be reported so that the mesh knows what a trip file says.</summary>
public static class TripDeclarations
{
    /// <summary>Declares what is new or changed and withdraws what has left the file; nothing when the file says what already stands.</summary>
    /// <remarks>A forecast that somebody said on the way stands, for it never was in the file.</remarks>
    /// <param name="standing">Items that stand now.</param>
    /// <param name="read">Items of the file.</param>
    public static ValueList<KitDeclared> Between(IReadOnlyCollection<KitItem> standing, IReadOnlyCollection<KitItem> read)
    {
        Dictionary<(KitKind Kind, KitId Id), KitItem> now = standing.ToDictionary(item => (item.Kind, item.Id));
        HashSet<(KitKind Kind, KitId Id)> wanted = [.. read.Select(item => (item.Kind, item.Id))];

        IEnumerable<KitDeclared> withdrawn = standing
            .Where(item => item is not WeatherLine { Said: true } && !wanted.Contains((item.Kind, item.Id)))
            .Select(item => new KitDeclared(item, Withdrawn: true));
        IEnumerable<KitDeclared> declared = read
            .Where(item => !now.TryGetValue((item.Kind, item.Id), out KitItem? old) || !old.Equals(item))
            .Select(item => new KitDeclared(item));
        return withdrawn.Concat(declared).ToValueList();
    }
}
