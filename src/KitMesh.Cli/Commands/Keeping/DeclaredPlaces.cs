using KitMesh.Cli.Asking;
using KitMesh.Cli.Frame;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.V1;

namespace KitMesh.Cli.Commands.Keeping;

/// <summary>Which places the trip file has declared, as a hub knows them.</summary>
internal static class DeclaredPlaces
{
    private const int PageSize = 1_000;
    private const int MostPages = 50;

    /// <summary>Names of all places that were declared and not taken back.</summary>
    public static async Task<IReadOnlySet<string>> OfAsync(HubClient hub)
    {
        var declared = new Dictionary<string, bool>(StringComparer.Ordinal);
        var request = new GetReportsRequest { PageSize = PageSize, Kinds = { nameof(Domain.Reports.KitDeclared) } };
        for (int page = 0; page < MostPages; page++)
        {
            GetReportsResponse answer = await hub.ReportsAsync(request);
            foreach (ReportLine line in answer.Reports)
            {
                // Newest first: the first word about a place stands.
                if (line.Report?.KitDeclared is { Item.Place: { } place } said)
                {
                    declared.TryAdd(place.Id, !said.Withdrawn);
                }
            }

            request.PageToken = answer.NextPageToken;
            if (request.PageToken.Length == 0)
            {
                break;
            }
        }

        return declared.Where(place => place.Value).Select(place => place.Key).ToHashSet(StringComparer.Ordinal);
    }

    /// <summary>Refuses a place that nobody declared, naming those that are.</summary>
    public static void Require(KitId place, IReadOnlySet<string> declared)
    {
        if (declared.Contains(place.Value))
        {
            return;
        }

        throw CommandFault.BadInput(
            $"--place: no place is called \"{place}\"; nothing was written.",
            declared.Count == 0 ? "The hub knows no place yet: give it the trip file first." : $"Declared are: {string.Join(", ", declared.Order(StringComparer.Ordinal))}.");
    }
}
