using Google.Protobuf;
using KitMesh.Domain.Exchange;
using KitMesh.Protocol.Exchange;
using KitMesh.Sync.Session;
using NodaTime;
using V1 = KitMesh.Protocol.V1;

namespace KitMesh.TestKit.Sync;

/// <summary>One session between two nodes over a wire of real bytes, stepped by the test and cut where it says.</summary>
public sealed class MeshLink
{
    private readonly MeshNode _left;
    private readonly MeshNode _right;
    private readonly Queue<byte[]> _toLeft = new();
    private readonly Queue<byte[]> _toRight = new();

    public MeshLink(MeshNode left, MeshNode right)
    {
        _left = left;
        _right = right;
        Left = left.Open();
        Right = right.Open();
    }

    public ExchangeSession Left { get; }

    public ExchangeSession Right { get; }

    /// <summary>Frames delivered so far.</summary>
    public int Delivered { get; private set; }

    /// <summary>Bytes of frames delivered so far.</summary>
    public long Bytes { get; private set; }

    public List<SessionFrame> Frames { get; } = [];

    /// <summary>Runs until nothing moves, both have closed, or so many frames were delivered; then the link breaks.</summary>
    /// <returns>True when it ended by itself.</returns>
    public bool Run(int mostFrames = 100_000)
    {
        while (Step())
        {
            if (Delivered >= mostFrames)
            {
                Cut();
                return false;
            }
        }

        return true;
    }

    /// <summary>Runs a whole session that ends in a farewell.</summary>
    public static MeshLink Exchange(MeshNode left, MeshNode right, int mostFrames = 100_000)
    {
        var link = new MeshLink(left, right);
        link.Left.Finish();
        link.Right.Finish();
        link.Run(mostFrames);
        link.Cut();
        return link;
    }

    public void Cut()
    {
        Left.Cut();
        Right.Cut();
        _left.Leave(Left);
        _right.Leave(Right);
    }

    /// <summary>Lets both sides say what they can and delivers one frame each way.</summary>
    /// <returns>Whether anything moved.</returns>
    public bool Step()
    {
        Drain(_left, Left, _toRight);
        Drain(_right, Right, _toLeft);
        bool moved = Deliver(_toRight, Right, _right);
        return Deliver(_toLeft, Left, _left) || moved;
    }

    private static void Drain(MeshNode node, ExchangeSession session, Queue<byte[]> wire)
    {
        while (session.TryNext(out SessionAction? action))
        {
            if (action is SessionAction.Send send)
            {
                wire.Enqueue(FrameCodec.Write(send.Frame).ToByteArray());
            }
            else
            {
                node.Do(session, action);
            }
        }
    }

    private bool Deliver(Queue<byte[]> wire, ExchangeSession session, MeshNode node)
    {
        if (!wire.TryDequeue(out byte[]? bytes))
        {
            return false;
        }

        Delivered++;
        Bytes += bytes.Length;
        SessionFrame frame = FrameCodec.Read(V1.Frame.Parser.ParseFrom(bytes));
        Frames.Add(frame);
        node.Pass(Duration.FromMilliseconds(1));
        session.Receive(frame, node.Now);
        return true;
    }
}
