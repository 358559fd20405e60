using System.Collections.Concurrent;

namespace KitMesh.Cli.Running;

/// <summary>Works through pieces on another thread, a few of them ahead of whoever takes the results; order stays.</summary>
internal static class Ahead
{
    private const int MostPieces = 4;

    /// <summary>The results, piece after piece. A fault in the work is thrown where the results are taken; who stops early waits until the work has stopped.</summary>
    /// <param name="pieces">Gone through on the other thread.</param>
    /// <param name="work">Done there.</param>
    public static IEnumerable<TResult> Read<TPiece, TResult>(IEnumerable<TPiece> pieces, Func<TPiece, IReadOnlyList<TResult>> work)
    {
        using var stop = new CancellationTokenSource();
        using var ready = new BlockingCollection<IReadOnlyList<TResult>>(MostPieces);
        Task working = Task.Factory.StartNew(() => Work(pieces, work, ready, stop.Token), CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        try
        {
            foreach (TResult result in ready.GetConsumingEnumerable().SelectMany(piece => piece))
            {
                yield return result;
            }

            working.GetAwaiter().GetResult();
        }
        finally
        {
            stop.Cancel();
            Task.WaitAny(working);
        }
    }

    private static void Work<TPiece, TResult>(
        IEnumerable<TPiece> pieces, Func<TPiece, IReadOnlyList<TResult>> work, BlockingCollection<IReadOnlyList<TResult>> ready, CancellationToken stop)
    {
        try
        {
            foreach (TPiece piece in pieces)
            {
                ready.Add(work(piece), stop);
            }
        }
        catch (OperationCanceledException) when (stop.IsCancellationRequested)
        {
            // Nobody takes any more.
        }
        finally
        {
            ready.CompleteAdding();
        }
    }
}
