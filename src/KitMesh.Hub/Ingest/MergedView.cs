using KitMesh.Domain.Exchange;
using KitMesh.Domain.Reports;
using KitMesh.Domain.State;
using KitMesh.Domain.Time;
using KitMesh.Footage.Ledger;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Telemetry;
using KitMesh.Protocol.Reports;
using KitMesh.Storage;
using KitMesh.Sync.Journal;
using KitMesh.Sync.Seals;
using Microsoft.Extensions.Logging;
using NodaTime;

namespace KitMesh.Hub.Ingest;

/// <summary>Follows the journal and keeps everything that is derived from it: state, ledger and store.</summary>
/// <remarks>
/// <para>
/// Problem: senders may wait for nothing but the journal, and after a crash, a full disk or a new clock pair the derived
/// things must come out the same as if nothing had happened. Method: this loop is the only one that derives, and it reads
/// nothing but the journal, at start and in running the same way. It goes through what is new in chunks: each is decoded
/// once, folded, filed and stored. When a clock pair moved times, the nodes that it moved are renewed first.
/// </para>
/// <para>
/// Trap 1: a flood of reports and their merging want the same processor, and only the taking in has someone who waits. So
/// merging begins in the first pause of the flood, when somebody asks, or after <see cref="Patience"/>, and then goes
/// through all there is.
/// Trap 2: settling times costs a pass over everything, and in a long backlog each clock pair could cause one. So before a
/// long way through the journal its clock pairs are taken in alone.
/// </para>
/// </remarks>
internal sealed class MergedView : IAsyncDisposable
{
    /// <summary>No report for this long is a pause.</summary>
    private static readonly TimeSpan Pause = TimeSpan.FromMilliseconds(20);

    /// <summary>Merging waits no longer than this for a pause.</summary>
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(2);

    /// <summary>Who asks waits no longer than this for the merging of what was durable before the question.</summary>
    private static readonly TimeSpan FreshWait = TimeSpan.FromSeconds(5);

    /// <summary>Bytes of the journal that make a way through it long.</summary>
    private const long LongWay = 2 << 20;

    private readonly IJournalWriter _journal;
    private readonly HubClocks _clocks;
    private readonly HubTelemetry _telemetry;
    private readonly StateEngine _engine;
    private readonly RightsBook _rights;
    private readonly SealBook? _seals;
    private readonly FiledFacts _filed;
    private readonly StoreFeeder _feeder;
    private readonly CancellationTokenSource _stop = new();
    private TaskCompletionSource _moved = new(TaskCreationOptions.RunContinuationsAsynchronously);
    private MergedSnapshot _now = new(0, TripState.Empty, JournalPosition.Start);
    private Retiming _retiming = Retiming.None;
    private JournalPosition _folded = JournalPosition.Start;
    private JournalPosition _paired = JournalPosition.Start;
    private Task _running = Task.CompletedTask;
    private int _askers;

    public MergedView(IJournalWriter journal, StoreKeeper keeper, RightsBook rights, HubClocks clocks, HubTelemetry telemetry, ILogger log)
    {
        _journal = journal;
        _rights = rights;
        if (rights.AsksWho)
        {
            // What this hub wrote itself is here because it wrote it; everything else is a word until its writer has signed it.
            SealBook seals = _seals = new SealBook(journal, rights.Keys);
            rights.Attests = report => (report.Origin == journal.Own || seals.Now.IsAttested(report)) && !rights.Forks().ContainsKey(report);
        }

        _filed = new FiledFacts(rights);
        _clocks = clocks;
        _telemetry = telemetry;
        _feeder = new StoreFeeder(journal, keeper, clocks, log);
        // What was taken in must come again, so the replay goes as far as clock pairs were taken in ahead.
        _engine = new StateEngine(
            () => JournalPass.Decode(journal, JournalPosition.Start, _folded.CompareTo(_paired) > 0 ? _folded : _paired).Select(ToContentUnlessStopping),
            ((IJournalView)journal).FirstContent);
    }

    /// <summary>The merged state now.</summary>
    public MergedSnapshot Now => Volatile.Read(ref _now);

    /// <summary>The newest values of each pack, put together from all devices.</summary>
    public PackPictures Packs => _filed.Packs;

    /// <summary>What seals attest, and what does not fit; nothing on a hub that asks nobody.</summary>
    public SealStanding Seals => _seals?.Now ?? SealStanding.Nothing;

    /// <summary>How far each node's newest time may itself be off.</summary>
    public ClockDoubts ClockDoubts { get; } = new();

    /// <summary>Derives everything that the journal holds, then goes on in the background.</summary>
    /// <param name="opening">The opened store; null when there is none yet.</param>
    /// <param name="cancellation">Gives up waiting.</param>
    public async Task StartAsync(StoreOpening? opening, CancellationToken cancellation)
    {
        _feeder.Start(opening);
        if (opening?.State == StoreOpeningState.Kept)
        {
            NoteNewsOfKeptStore(opening.AppliedTo);
        }

        await PassAsync(cancellation).ConfigureAwait(false);
        _running = Task.Run(() => FollowAsync(_stop.Token), CancellationToken.None);
    }

    /// <summary>The ledger at a moment of world time.</summary>
    public LedgerSnapshot LedgerAt(Instant now) => _filed.LedgerAt(now);

    /// <summary>The ledger as it stood at a past moment, with all that is known by now.</summary>
    public LedgerSnapshot LedgerOf(Instant past) => _filed.LedgerOf(past);

    /// <summary>The rank of the clock behind a report's time.</summary>
    public ClockTrust TrustOf(Report report) => Volatile.Read(ref _retiming).Time(report).Trust;

    /// <summary>Completes when everything that is durable now is merged and stored.</summary>
    public async Task WhenCaughtUpAsync(CancellationToken cancellation)
    {
        JournalPosition end = _journal.End;
        while (true)
        {
            Task moved = Volatile.Read(ref _moved).Task;
            if (Now.Position.CompareTo(end) >= 0)
            {
                return;
            }

            await moved.WaitAsync(cancellation).ConfigureAwait(false);
        }
    }

    /// <summary>
    /// The merged state for an answer: with everything that was durable before the question, so that who pushed and then asks
    /// finds it again. In a flood that outruns the merging it is what is merged after <see cref="FreshWait"/>.
    /// </summary>
    public async Task<MergedSnapshot> FreshAsync(CancellationToken cancellation)
    {
        if (Now.Position.CompareTo(_journal.End) < 0)
        {
            Interlocked.Increment(ref _askers);
            try
            {
                await WhenCaughtUpAsync(cancellation).WaitAsync(FreshWait, _clocks.Machine, cancellation).ConfigureAwait(false);
            }
            catch (TimeoutException)
            {
                // The answer says its state's fingerprint: an older one is an answer too.
            }
            finally
            {
                Interlocked.Decrement(ref _askers);
            }
        }

        return Now;
    }

    /// <summary>Completes at the next change of the state.</summary>
    public Task WhenChangedAsync(CancellationToken cancellation) => Volatile.Read(ref _moved).Task.WaitAsync(cancellation);

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync().ConfigureAwait(false);
        try
        {
            await _running.ConfigureAwait(false);
        }
        catch (OperationCanceledException)
        {
            // Asked to stop.
        }

        _stop.Dispose();
    }

    private async Task FollowAsync(CancellationToken cancellation)
    {
        while (!cancellation.IsCancellationRequested)
        {
            if (!_feeder.IsWaiting)
            {
                await _journal.WhenPastAsync(_folded, cancellation).ConfigureAwait(false);
                await WhenCalmAsync(cancellation).ConfigureAwait(false);
            }
            else
            {
                using var either = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
                await Task.WhenAny(
                    _journal.WhenPastAsync(_folded, either.Token).AsTask(),
                    Task.Delay(_feeder.Retry, _clocks.Machine, either.Token)).ConfigureAwait(false);
                await either.CancelAsync().ConfigureAwait(false);
            }

            await PassAsync(cancellation).ConfigureAwait(false);
        }
    }

    /// <summary>Waits until the journal stands still for a moment or somebody asks, but not for long.</summary>
    private async Task WhenCalmAsync(CancellationToken cancellation)
    {
        long start = _clocks.Machine.GetTimestamp();
        JournalPosition end = _journal.End;
        while (Volatile.Read(ref _askers) == 0 && _clocks.Machine.GetElapsedTime(start) < Patience)
        {
            await Task.Delay(Pause, _clocks.Machine, cancellation).ConfigureAwait(false);
            JournalPosition now = _journal.End;
            if (now == end)
            {
                return;
            }

            end = now;
        }
    }

    /// <summary>Goes through everything that is new, chunk by chunk.</summary>
    private async Task PassAsync(CancellationToken cancellation)
    {
        JournalPosition end = _journal.End;
        TakePairsAhead(end);
        using IEnumerator<List<DecodedEntry>> chunks = JournalPass.Chunks(JournalPass.Decode(_journal, _folded, end)).GetEnumerator();
        Task round = Task.CompletedTask;
        try
        {
            // While the store writes one chunk, the next is read and decoded.
            while (chunks.MoveNext())
            {
                await round.ConfigureAwait(false);
                round = RoundAsync(chunks.Current, chunks.Current[^1].Next, cancellation);
            }
        }
        finally
        {
            await round.ConfigureAwait(false);
        }

        // The end can lie past the last report: a new segment's head, or a note that something will never come.
        await RoundAsync([], end, cancellation).ConfigureAwait(false);
    }

    private async Task RoundAsync(List<DecodedEntry> chunk, JournalPosition to, CancellationToken cancellation)
    {
        HubTelemetry.Span span = _telemetry.Begin("merge");
        JournalPosition from = _folded;
        foreach (DecodedEntry entry in chunk)
        {
            _engine.Add(entry.Report, Sha256Hash.Of(entry.Raw.Bytes.Span));
            _rights.Add(entry.Report);
            _seals?.Add(entry.Report);
            ClockDoubts.Add(entry.Report);
        }

        _folded = to;
        _seals?.Settle();
        Retiming retiming = _engine.Retiming;
        if (!ReferenceEquals(retiming, _retiming))
        {
            IReadOnlySet<NodeId> moved = retiming.NodesThatDiffer(_retiming);
            Volatile.Write(ref _retiming, retiming);
            ClockDoubts.Retime(retiming);
            _filed.Retime(moved, retiming, wanted => JournalPass.Decode(_journal, JournalPosition.Start, from, wanted));
            _feeder.NoteMoved(moved);
        }

        _filed.Add(chunk, retiming);
        await _feeder.FeedAsync(chunk, from, to, retiming, cancellation).ConfigureAwait(false);
        if (chunk.Count > 0 || Now.Version == 0 || Now.Position != to)
        {
            Volatile.Write(ref _now, new MergedSnapshot(_now.Version + 1, _engine.State, to));
            Interlocked.Exchange(ref _moved, new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously)).SetResult();
        }

        _telemetry.Merged(span, chunk.Count);
    }

    /// <summary>Before a long way: its clock pairs first, so that times are settled once and not once a chunk.</summary>
    private void TakePairsAhead(JournalPosition end)
    {
        if (end.Segment == _folded.Segment && end.Offset - _folded.Offset < LongWay)
        {
            return;
        }

        TakePairs(_folded.CompareTo(_paired) > 0 ? _folded : _paired, end);
        _paired = end;
    }

    private int TakePairs(JournalPosition from, JournalPosition until)
    {
        int pairs = 0;
        foreach (DecodedEntry entry in JournalPass.Decode(_journal, from, until, kind => kind == ReportKind.ClockPair))
        {
            _engine.Add(entry.Report, Sha256Hash.Of(entry.Raw.Bytes.Span));
            pairs++;
        }

        return pairs;
    }

    /// <summary>
    /// A kept store has the times of the clock pairs that it was told of. With none since, they hold. With some, whatever they
    /// say now differs from nothing: every node is renewed.
    /// </summary>
    private void NoteNewsOfKeptStore(JournalPosition appliedTo)
    {
        TakePairs(JournalPosition.Start, appliedTo);
        Retiming then = _engine.Retiming;
        JournalPosition end = _journal.End;
        if (TakePairs(appliedTo, end) == 0)
        {
            Volatile.Write(ref _retiming, then);
        }

        _paired = end;
    }

    /// <summary>A fold of the whole journal takes minutes on a large one; a hub that stops does not wait for it, since the next start folds anyway.</summary>
    private ContentReport ToContentUnlessStopping(DecodedEntry entry)
    {
        _stop.Token.ThrowIfCancellationRequested();
        return ToContent(entry);
    }

    private static ContentReport ToContent(DecodedEntry entry) => new(entry.Report, Sha256Hash.Of(entry.Raw.Bytes.Span));
}
