using Google.Protobuf;
using Google.Protobuf.WellKnownTypes;
using Google.Rpc;
using Grpc.Core;
using Grpc.Core.Interceptors;
using KitMesh.Hub.Telemetry;
using KitMesh.Storage;
using Microsoft.Extensions.Logging;
using RichStatus = Google.Rpc.Status;

namespace KitMesh.Hub.Grpc;

/// <summary>The one door by which errors leave the hub's calls: every exception becomes a rich status, and each unary call gets a deadline.</summary>
internal sealed class ErrorInterceptor(HubOptions options, HubClocks clocks, HubTelemetry telemetry, ILogger<ErrorInterceptor> log) : Interceptor
{
    private static readonly TimeSpan RetryAfter = TimeSpan.FromSeconds(30);

    public override async Task<TResponse> UnaryServerHandler<TRequest, TResponse>(
        TRequest request,
        ServerCallContext context,
        UnaryServerMethod<TRequest, TResponse> continuation)
    {
        using var limit = new CancellationTokenSource(options.CallTimeout, clocks.Machine);
        HubTelemetry.Span span = telemetry.Begin(context.Method);
        StatusCode status = StatusCode.OK;
        try
        {
            // A caller's own deadline cancels the context; the hub's limit holds for callers without one.
            Task<TResponse> call = continuation(request, context);
            return await call.WaitAsync(limit.Token).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (limit.IsCancellationRequested && !context.CancellationToken.IsCancellationRequested)
        {
            status = StatusCode.DeadlineExceeded;
            throw ToStatus(Code.DeadlineExceeded, $"The call took longer than {options.CallTimeout.TotalSeconds:0} s. What was durable stays durable; ask for less, or ask again.").ToRpcException();
        }
        catch (Exception failure)
        {
            RpcException told = Translate(failure, context);
            status = told.StatusCode;
            throw told;
        }
        finally
        {
            telemetry.Answered(span, context.Method, (int)status);
        }
    }

    public override async Task DuplexStreamingServerHandler<TRequest, TResponse>(
        IAsyncStreamReader<TRequest> requestStream,
        IServerStreamWriter<TResponse> responseStream,
        ServerCallContext context,
        DuplexStreamingServerMethod<TRequest, TResponse> continuation)
    {
        try
        {
            await continuation(requestStream, responseStream, context).ConfigureAwait(false);
        }
        catch (Exception failure)
        {
            throw Translate(failure, context);
        }
    }

    private RpcException Translate(Exception failure, ServerCallContext context)
    {
        switch (failure)
        {
            case RpcException known:
                return known;
            case CallRefusedException refused:
                return ToStatus(refused).ToRpcException();
            case StoreFaultedException store:
                return ToStatus(
                    Code.Unavailable,
                    $"{store.Message} Reports are still taken; ask again in a minute.",
                    new RetryInfo { RetryDelay = Duration.FromTimeSpan(RetryAfter) }).ToRpcException();
            case OperationCanceledException:
                return ToStatus(Code.Cancelled, "The call was cancelled.").ToRpcException();
            default:
                // The words of an unexpected failure go to the log and not to strangers.
                HubLog.CallFailed(log, failure, context.Method);
                return ToStatus(Code.Internal, "The hub failed inside. What was acknowledged is safe; the hub's log says more.").ToRpcException();
        }
    }

    private static RichStatus ToStatus(CallRefusedException refused)
    {
        IMessage? detail = refused.Code switch
        {
            StatusCode.ResourceExhausted or StatusCode.Unavailable => new RetryInfo { RetryDelay = Duration.FromTimeSpan(RetryAfter) },
            _ when refused.Field is { } field => new BadRequest
            {
                FieldViolations = { new BadRequest.Types.FieldViolation { Field = field, Description = refused.Message } },
            },
            _ => null,
        };
        return ToStatus((Code)(int)refused.Code, refused.Message, detail);
    }

    private static RichStatus ToStatus(Code code, string message, IMessage? detail = null)
    {
        var status = new RichStatus { Code = (int)code, Message = message };
        if (detail is not null)
        {
            status.Details.Add(Any.Pack(detail));
        }

        return status;
    }
}
