using KitMesh.Domain;
using KitMesh.Domain.Kit;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Grpc;
using KitMesh.Hub.Links;
using KitMesh.Sync.Journal;
using KitMesh.TripFile;
using Microsoft.Extensions.Logging;

namespace KitMesh.Hub.Ingest;

/// <summary>Declares kit: one report of this hub for each item that is new, changed or gone.</summary>
internal sealed class KitIntake(ReportIntake intake, MergedView view, LinkBook links, ILogger<KitIntake> log) : IDisposable
{
    // One declaration at a time: each compares with what the one before it left.
    private readonly SemaphoreSlim _one = new(1);

    /// <summary>What was written.</summary>
    internal readonly record struct Outcome(int Declared, int Unchanged, int Withdrawn);

    /// <summary>Declares items.</summary>
    /// <param name="items">The items, each once.</param>
    /// <param name="whole">Whether what is not among them is withdrawn.</param>
    /// <param name="cancellation">Gives up.</param>
    public async Task<Outcome> DeclareAsync(IReadOnlyList<KitItem> items, bool whole, CancellationToken cancellation)
    {
        if (items.GroupBy(item => (item.Kind, item.Id)).FirstOrDefault(same => same.Count() > 1) is { } twice)
        {
            throw CallRefusedException.Bad("items", $"{twice.Key.Kind} {twice.Key.Id} is declared twice. Nothing was declared.");
        }

        await _one.WaitAsync(cancellation).ConfigureAwait(false);
        try
        {
            await view.WhenCaughtUpAsync(cancellation).ConfigureAwait(false);
            KitItem[] standing = [.. view.Now.State.Kit];
            ValueList<KitDeclared> changes = TripDeclarations.Between(standing, items);
            KitDeclared[] wanted = [.. changes.Where(change => whole || !change.Withdrawn)];
            foreach (KitDeclared[] part in wanted.Chunk(1_000))
            {
                OwnAppend append = await intake.WriteAsync(part, cancellation).ConfigureAwait(false);
                if (append.Result is not AppendResult.Durable)
                {
                    throw CallRefusedException.Unavailable($"The hub's disk failed while kit was declared; declare it again. {append.Result}");
                }
            }

            await view.WhenCaughtUpAsync(cancellation).ConfigureAwait(false);
            int declared = wanted.Count(change => !change.Withdrawn);
            return new Outcome(declared, items.Count - declared, wanted.Length - declared);
        }
        finally
        {
            _one.Release();
        }
    }

    /// <summary>Declares what a trip file says.</summary>
    /// <exception cref="HubStartException">The file is wrong; the message holds every mistake.</exception>
    public async Task DeclareTripAsync(string file, CancellationToken cancellation)
    {
        string text = await File.ReadAllTextAsync(file, cancellation).ConfigureAwait(false);
        switch (TripFileReader.Read(file, text))
        {
            case TripRead read:
                foreach (TripProblem question in read.Questions)
                {
                    HubLog.TripQuestion(log, question.ToString());
                }

                links.Take(file, read);
                Outcome outcome = await DeclareAsync(read.Items, whole: true, cancellation).ConfigureAwait(false);
                HubLog.TripDeclared(log, file, outcome.Declared, outcome.Withdrawn);
                break;
            case TripRefused refused:
                throw new HubStartException(string.Join(Environment.NewLine, refused.Problems));
            default:
                throw new InvalidOperationException("Unknown result of a trip file.");
        }
    }

    /// <inheritdoc/>
    public void Dispose() => _one.Dispose();
}
