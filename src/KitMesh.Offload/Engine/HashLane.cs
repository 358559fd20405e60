using KitMesh.Domain;
using KitMesh.Domain.Reports;
using KitMesh.Offload.Hashing;

namespace KitMesh.Offload.Engine;

/// <summary>
/// Hashes what is read. The main lane takes XXH3-128 and the three samples; each further hash has a lane of its own, so
/// that a slow one delays the drives only when it is slower than they are.
/// </summary>
internal sealed class HashLane : Lane
{
    private readonly RunningHash _hash;
    private readonly SampledPrint? _print;
    private readonly HashBoard _board;

    public HashLane(HashKind kind, HashBoard board)
        : base(HashNames.Of(kind))
    {
        _hash = RunningHash.Create(kind);
        _print = kind == HashKind.Xxh128 ? new SampledPrint() : null;
        _board = board;
    }

    /// <inheritdoc/>
    public override void Dispose()
    {
        _hash.Dispose();
        base.Dispose();
    }

    /// <inheritdoc/>
    protected override void Do(LaneOrder order)
    {
        switch (order.Step)
        {
            case LaneStep.Begin:
                _print?.Begin(order.Transfer.File.Size);
                break;
            case LaneStep.Piece:
                Take(order);
                break;
            case LaneStep.Whole:
                ReadOnlySpan<byte> whole = order.Buffer is null ? [] : order.Bytes[..order.Length];
                _hash.Append(whole);
                _board.Put(order.Transfer, new HashText(_hash.Kind, _hash.Finish()), _print?.Of(whole));
                break;
            case LaneStep.End:
                End(order.Transfer);
                break;
            case LaneStep.Drop:
                _hash.Finish();
                _print?.Finish();
                order.Transfer.SetDigest(null);
                break;
            default:
                throw new InvalidOperationException($"A hash cannot {order.Step}.");
        }
    }

    private void Take(LaneOrder order)
    {
        ReadOnlySpan<byte> piece = order.Bytes[..order.Length];
        _hash.Append(piece);
        _print?.Observe(order.Offset, piece);
    }

    private void End(Transfer transfer) => _board.Put(transfer, new HashText(_hash.Kind, _hash.Finish()), _print?.Finish());
}
