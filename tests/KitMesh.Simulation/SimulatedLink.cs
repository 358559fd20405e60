using Google.Protobuf;
using KitMesh.Domain.Exchange;
using KitMesh.Protocol.Exchange;
using KitMesh.Sync.Session;
using KitMesh.TestKit.Mutants;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.Simulation;

/// <summary>A link between two nodes: at most one session at a time, real frame bytes, and whatever befalls them.</summary>
internal sealed class SimulatedLink(World world, SimulatedNode left, SimulatedNode right)
{
    private const int MostInFlight = 6;

    private readonly int[] _inFlight = [0, 0];
    private readonly Duration[] _busyUntil = [Duration.Zero, Duration.Zero];
    private readonly long[] _bytes = [0, 0];
    private bool _isDoubled;
    private ExchangeSession? _left;
    private ExchangeSession? _right;
    private int _life;
    private FaultKind? _armed;

    internal string Name { get; } = $"{left.Node}-{right.Node}";

    internal SimulatedNode Left => left;

    internal SimulatedNode Right => right;

    internal bool IsPartitioned { get; set; }

    internal bool IsOpen => _left is not null;

    /// <summary>Bytes of reports on their way to a node that it has to take in.</summary>
    /// <remarks>
    /// Not counted: what is on its way to a session that has ended, for it is read and let go frame by frame; and a stream
    /// in which the link doubled a frame: twins of reports take credit that their sender does not know of, twins of credit
    /// grant what nobody has; the sender goes past it and the session ends with a breach. What the node took in counts all
    /// the same.
    /// </remarks>
    internal long BytesTo(SimulatedNode node)
    {
        int side = node == left ? 0 : 1;
        return (side == 0 ? _left : _right) is { IsClosed: false } && !_isDoubled ? _bytes[side] : 0;
    }

    /// <summary>The next frame meets a fault.</summary>
    internal void Arm(FaultKind? fault) => _armed = fault;

    internal void TryOpen(bool finish)
    {
        if (IsOpen || IsPartitioned || !left.IsUp || !right.IsUp)
        {
            return;
        }

        _life++;
        _left = left.OpenSession();
        _right = right.OpenSession();
        left.Join(this, _left);
        right.Join(this, _right);
        if (finish)
        {
            _left.Finish();
            _right.Finish();
        }

        world.Sessions++;
        world.Trace.Note(world.Now, "session", Name, _life);
        Pump();
    }

    internal void Cut(string why)
    {
        if (_left is null || _right is null)
        {
            return;
        }

        world.Trace.Note(world.Now, why, Name);
        (ExchangeSession first, ExchangeSession second) = (_left, _right);
        Forget();
        first.Cut();
        second.Cut();
        left.Leave(first);
        right.Leave(second);
    }

    internal void Tick()
    {
        _left?.Tick(left.Moment());
        _right?.Tick(right.Moment());
        Pump();
    }

    internal void Pump()
    {
        if (_left is { } first && _right is { } second)
        {
            int life = _life;
            Pump(first, left, right, toRight: 1);
            if (life == _life)
            {
                Pump(second, right, left, toRight: 0);
            }

            if (life == _life && (first.IsClosed || second.IsClosed) && _inFlight[0] == 0 && _inFlight[1] == 0)
            {
                Cut("session over");
            }
        }
    }

    private void Forget()
    {
        _life++;
        _left = _right = null;
        Array.Clear(_inFlight);
        Array.Clear(_bytes);
        _isDoubled = false;
        Array.Fill(_busyUntil, Duration.Zero);
    }

    private void Pump(ExchangeSession session, SimulatedNode from, SimulatedNode to, int toRight)
    {
        int life = _life;
        while (life == _life && from.IsUp && _inFlight[toRight] < MostInFlight && session.TryNext(out SessionAction? action))
        {
            if (action is SessionAction.Send send)
            {
                from.BeforeSending(send.Frame);
                Send(V1Bytes(send.Frame), send.Frame, to, toRight);
            }
            else
            {
                from.Do(this, session, action);
            }
        }
    }

    private static byte[] V1Bytes(SessionFrame frame) => FrameCodec.Write(frame).ToByteArray();

    private void Send(byte[] bytes, SessionFrame frame, SimulatedNode to, int toRight)
    {
        FaultKind? fault = _armed;
        _armed = null;
        Duration latency = Duration.FromNanoseconds(1000L * (500 + (world.IsHealing ? 1500 : world.Random.Below(to.IsSlow ? 3_000_000 : 20_000))));
        if (fault == FaultKind.FrameDropped)
        {
            return;
        }

        if (fault == FaultKind.CutMidFrame)
        {
            bytes = bytes[..world.Random.Below(bytes.Length + 1)];
        }

        // A stream keeps the order: nothing arrives before what was sent first, except where that is the fault.
        Duration arrival = world.Now + latency + (fault == FaultKind.FrameDelayed ? Duration.FromSeconds(world.Random.Between(1, 20)) : Duration.Zero);
        if (fault != FaultKind.FramesReordered)
        {
            arrival = arrival < _busyUntil[toRight] ? _busyUntil[toRight] : arrival;
            _busyUntil[toRight] = arrival;
        }

        long cost = frame is ReportsFrame reports ? reports.Cost : 0;
        _inFlight[toRight]++;
        _bytes[toRight] += cost;
        int life = _life;
        bool isCut = fault == FaultKind.CutMidFrame;
        world.Queue.After(arrival - world.Now, () => Deliver(bytes, to, toRight, life, cost, isCut));
        if (fault == FaultKind.FrameDuplicated)
        {
            _inFlight[toRight]++;
            _isDoubled = true;
            world.Queue.After(arrival - world.Now, () => Deliver(bytes, to, toRight, life, 0, isCut: false));
        }
    }

    private void Deliver(byte[] bytes, SimulatedNode to, int toRight, int life, long cost, bool isCut)
    {
        if (life != _life)
        {
            return;
        }

        world.CheckMemory(to);
        _inFlight[toRight]--;
        _bytes[toRight] -= cost;
        world.Trace.Note(world.Now, "frame", to.Name, bytes.Length);
        ExchangeSession session = (toRight == 1 ? _right : _left)!;
        SessionFrame? frame = Parse(bytes);
        if (frame is null || isCut)
        {
            Cut("cut mid-frame");
            return;
        }

        session.Receive(to.Received(frame), to.Moment());
        Pump();
    }

    private static SessionFrame? Parse(byte[] bytes)
    {
        try
        {
            return FrameCodec.Read(V1.Frame.Parser.ParseFrom(bytes));
        }
        catch (InvalidProtocolBufferException)
        {
            return null;
        }
    }
}
